"""A zip that is no backup, or an odd one, is one sentence and changes nothing."""

from __future__ import annotations

import json
import zipfile
from pathlib import Path

import pytest

from roastside.book.archive import FORMAT, MANIFEST
from roastside.cli import main


def packed(path: Path, manifest: str, files: dict[str, bytes], how: int = 8) -> Path:
    with zipfile.ZipFile(path, "w", how) as archive:
        archive.writestr(MANIFEST, manifest)
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def listed(**entry: object) -> str:
    told = {"sha256": "0" * 64, "size_bytes": 0, "modified_ns": 0, **entry}
    return json.dumps({"roastside_backup": FORMAT, "files": {"book.sqlite3": told}})


EMPTY = "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
"""SHA-256 of nothing (from memory; hashlib tells the same)."""


@pytest.mark.parametrize(
    ("manifest", "how"),
    [
        (listed(), zipfile.ZIP_LZMA),
        (listed(), zipfile.ZIP_BZIP2),
        (listed(size_bytes=float("inf")), zipfile.ZIP_DEFLATED),
        (listed(modified_ns=1e300), zipfile.ZIP_DEFLATED),
        (listed(modified_ns=-5), zipfile.ZIP_DEFLATED),
        (listed(sha256=EMPTY), zipfile.ZIP_DEFLATED),
        ("\udcff{", zipfile.ZIP_DEFLATED),
    ],
)
def test_an_odd_zip_is_refused_in_a_sentence(
    manifest: str,
    how: int,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    home = tmp_path / "home"
    monkeypatch.setenv("ROASTSIDE_HOME", str(home))
    text = manifest.encode("utf-8", "surrogateescape").decode("latin-1")
    path = packed(tmp_path / "odd.zip", text, {"book.sqlite3": b""}, how)
    assert main(["restore", str(path)]) == 2
    told = capsys.readouterr().err
    assert told.startswith("roastside: ") and told.count("\n") == 1
    assert not home.exists() or not any(home.glob("*.sqlite3"))
