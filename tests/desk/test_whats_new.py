"""What the desk gives out is of the newest roasts, or says that they may be missing."""

from __future__ import annotations

import csv
import sys
from pathlib import Path

import pytest

from roastside.book.store import Book
from tests.book.homes import FIXTURES, home_of
from tests.live.running import run_here


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A home whose book has yet to be made."""
    return home_of(tmp_path / "home", FIXTURES / "house-good-repeat-1.csv")


def titles(table: Path) -> list[str]:
    with table.open(encoding="utf-8-sig", newline="") as file:
        return [row["title"] for row in csv.DictReader(file)]


@pytest.mark.skipif(sys.platform == "win32", reason="needs a limit of the size of files")
def test_where_nothing_can_be_written_what_is_known_is_given_out(
    home: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capfd: pytest.CaptureFixture[str],
) -> None:
    import resource

    table = tmp_path / "roasts.csv"
    done = run_here("export", "figures", table, home=home, patch=monkeypatch, streams=capfd)
    assert (done.code, done.err) == (0, "")
    known = titles(table)
    assert len(known) == 1
    (home / "recordings" / "new.csv").write_bytes((FIXTURES / "house-too-hot.csv").read_bytes())
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    with Book.open(home, write=False):  # so that its shared memory is there already
        resource.setrlimit(resource.RLIMIT_FSIZE, (10_000, hard))
        try:
            done = run_here("export", "figures", table, home=home, patch=monkeypatch, streams=capfd)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert done.code == 0
    assert done.sentence.startswith("roastside: the newest roasts may be missing: the book ")
    assert titles(table) == known
