"""Backups: whole, verified, never in the way of a roast; and put back as they were."""

from __future__ import annotations

import errno
import json
import os
import shutil
import sys
import zipfile
from collections.abc import Callable
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest

from roastside.book.archive import MANIFEST, verified
from roastside.book.backup import back_up
from roastside.book.coffees import coffee_named, coffees
from roastside.book.intake import take_in_all
from roastside.book.restore import restore
from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import BookError, RecordError, StoreError
from roastside.core.readings import Reading
from roastside.record.recorder import Recorder
from tests.book.homes import home_of, write_roast, write_version
from tests.live.running import posix_only, run

AT = datetime(2026, 3, 20, 18, 30)


@pytest.fixture
def home(tmp_path: Path) -> Path:
    home = home_of(tmp_path / "home")
    write_version(home, 3)
    write_roast(home, "a.csv")
    write_roast(home, "2026-03-04 07.28.09 (2).csv", title="é")
    (home / "settings.toml").write_text('[display]\nunit = "F"\n')
    with Book.open(home) as book:
        take_in_all(book)
    return home


@pytest.fixture
def file(home: Path, tmp_path: Path) -> Path:
    back_up(home, tmp_path / "b.zip", AT)
    return tmp_path / "b.zip"


def contents(home: Path) -> dict[str, bytes]:
    """All that a home holds, but for the book, whose bytes say little."""
    return {
        path.relative_to(home).as_posix(): path.read_bytes()
        for path in sorted(home.rglob("*"))
        if path.is_file() and not path.name.startswith(BOOK_NAME)
    }


def changed(file: Path, change: Callable[[dict[str, bytes]], None]) -> Path:
    """The backup with another content, its zip file well made."""
    with zipfile.ZipFile(file) as archive:
        inside = {name: archive.read(name) for name in archive.namelist()}
    change(inside)
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in inside.items():
            archive.writestr(name, content)
    return file


def test_a_backup_put_back_elsewhere_is_the_same_home(
    file: Path, home: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other"
    assert restore(other, file, AT) is None
    assert contents(other) == contents(home)
    with Book.open(other) as book:
        outcome = take_in_all(book)
        assert (outcome.new, outcome.changed, outcome.gone, outcome.unchanged) == (0, 0, 0, 3)


def test_it_lists_what_is_in_it(file: Path) -> None:
    assert set(verified(file)) == {
        BOOK_NAME,
        "settings.toml",
        "references/House espresso v3.csv",
        "recordings/a.csv",
        "recordings/2026-03-04 07.28.09 (2).csv",
    }


def test_it_holds_what_was_written_a_moment_ago_and_nothing_unfinished(
    home: Path, tmp_path: Path
) -> None:
    with Book.open(home) as book:
        with book.writing():
            coffee_named(book, "Kept coffee")
        with book.writing():
            coffee_named(book, "Coffee in the making")
            back_up(home, tmp_path / "b.zip", AT)
    restore(tmp_path / "other", tmp_path / "b.zip", AT)
    with Book.open(tmp_path / "other") as book:
        names = {coffee.name for coffee in coffees(book)}
    assert "Kept coffee" in names and "Coffee in the making" not in names


def test_a_roast_goes_on_while_a_backup_is_made(home: Path, tmp_path: Path) -> None:
    recorder = Recorder(home / "recordings" / "now.csv", {"title": "now"})
    recorder.open()
    recorder.append(Reading(0.0, 200.0))
    back_up(home, tmp_path / "b.zip", AT)
    recorder.append(Reading(0.5, 199.0))
    recorder.close()
    with zipfile.ZipFile(tmp_path / "b.zip") as archive:
        assert archive.read("recordings/now.csv").endswith(b"0.00,200.00,,,,\n")
    assert (home / "recordings" / "now.csv").read_bytes().endswith(b"0.50,199.00,,,,\n")


def test_nothing_is_overwritten(file: Path, home: Path) -> None:
    before = file.read_bytes()
    with pytest.raises(BookError, match="never overwrites"):
        back_up(home, file, AT)
    with pytest.raises(BookError, match="is a folder"):
        back_up(home, home, AT)
    with pytest.raises(BookError, match="its folder is not there"):
        back_up(home, home / "nowhere" / "b.zip", AT)
    assert file.read_bytes() == before


def test_what_another_put_there_meanwhile_is_not_overwritten(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file, real = tmp_path / "b.zip", os.fsync

    def write_the_same(fd: int) -> None:
        real(fd)
        file.write_bytes(b"of another")

    monkeypatch.setattr(os, "fsync", write_the_same)
    with pytest.raises(BookError, match="never overwrites"):
        back_up(home, file, AT)
    assert file.read_bytes() == b"of another"
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.zip", "home"]


def test_a_disk_without_second_names_stores_a_backup_too(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_links(path: Path, name: Path) -> None:
        raise OSError(errno.EPERM, os.strerror(errno.EPERM))

    monkeypatch.setattr(os, "link", no_links)
    entries = back_up(home, tmp_path / "b.zip", AT)
    assert verified(tmp_path / "b.zip") == entries
    with pytest.raises(BookError, match="never overwrites"):
        back_up(home, tmp_path / "b.zip", AT)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b.zip", "home"]


def test_a_backup_among_the_recordings_holds_no_part_of_itself(home: Path) -> None:
    (home / "recordings" / ".c.csv.123.part").write_bytes(b"an import that was cut short")
    entries = back_up(home, home / "recordings" / "b.zip", AT)
    assert sorted(name for name in entries if name.startswith("recordings/")) == [
        "recordings/2026-03-04 07.28.09 (2).csv",
        "recordings/a.csv",
    ]


def test_there_must_be_something_to_back_up(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="nothing to back up"):
        back_up(tmp_path, tmp_path / "b.zip", AT)
    assert list(tmp_path.iterdir()) == []


def test_without_a_book_the_files_are_stored(home: Path, tmp_path: Path) -> None:
    (home / BOOK_NAME).unlink()
    assert "recordings/a.csv" in back_up(home, tmp_path / "b.zip", AT)
    restore(tmp_path / "other", tmp_path / "b.zip", AT)
    assert contents(tmp_path / "other") == contents(home)


def test_a_damaged_book_is_told_of_and_no_backup_made(home: Path, tmp_path: Path) -> None:
    (home / BOOK_NAME).write_bytes(b"no book at all" * 1000)
    with pytest.raises(BookError, match="roastside rebuild"):
        back_up(home, tmp_path / "b.zip", AT)
    assert [path.name for path in tmp_path.iterdir()] == ["home"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs a disk that is always full")
def test_on_a_full_disk_there_is_one_sentence_and_no_half_file(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = Path.open

    def full(path: Path, mode: str = "r", *rest: object) -> object:
        return real(Path("/dev/full"), "wb") if path.suffix == ".part" else real(path, mode, *rest)  # type: ignore[call-overload]

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(StoreError, match=r"(?i)no space left.*free some space") as told:
        back_up(home, tmp_path / "b.zip", AT)
    assert told.value.exit_code == 4
    assert [path.name for path in tmp_path.iterdir()] == ["home"]


def test_what_the_disk_stored_otherwise_is_no_backup(
    home: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.fsync

    def spoil(fd: int) -> None:
        os.pwrite(fd, b"\0" * 64, 3000)
        real(fd)

    if sys.platform == "win32":
        pytest.skip("needs pwrite")
    monkeypatch.setattr(os, "fsync", spoil)
    with pytest.raises(StoreError, match="not stored as it was written"):
        back_up(home, tmp_path / "b.zip", AT)
    assert [path.name for path in tmp_path.iterdir()] == ["home"]


@posix_only
def test_a_name_that_other_systems_do_not_take_is_told_of(home: Path, tmp_path: Path) -> None:
    (home / "recordings" / "a\\b.csv").write_text("x")
    with pytest.raises(RecordError, match="give it another name"):
        back_up(home, tmp_path / "b.zip", AT)
    assert not (tmp_path / "b.zip").exists()


def test_every_bit_counts(file: Path, tmp_path: Path) -> None:
    data = file.read_bytes()
    for place in range(40, len(data), len(data) // 60):
        spoiled = bytearray(data)
        spoiled[place] ^= 0x10
        file.write_bytes(spoiled)
        try:
            verified(file)
        except BookError:
            continue
        # What is told twice in a zip file, or nowhere needed, may differ; what comes out may not.
        restore(tmp_path / f"{place}", file, AT)
        assert contents(tmp_path / f"{place}") == contents(tmp_path / "home"), place
    for end in range(0, len(data), len(data) // 20):
        file.write_bytes(data[:end])
        with pytest.raises(BookError):
            verified(file)


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        (lambda inside: inside.pop("recordings/a.csv"), "holds other files"),
        (lambda inside: inside.update({"recordings/x.csv": b""}), "holds other files"),
        (lambda inside: inside.update({"../x.csv": b""}), "holds other files"),
        (lambda inside: inside.update({"recordings/a.csv": b"x"}), "is not as large"),
        (lambda inside: inside.update({"recordings/a.csv": b"x" * len(inside["recordings/a.csv"])}),
         "is not as it was stored"),
        (lambda inside: inside.pop(MANIFEST), "is no backup of roastside"),
        (lambda inside: inside.update({MANIFEST: b"[]"}), "is no backup of roastside"),
        (lambda inside: inside.update({MANIFEST: b"{"}), "is no backup of roastside"),
        (lambda inside: inside.update({MANIFEST: b'{"roastside_backup": 2, "files": {}}'}),
         "made by a newer roastside"),
    ],
)  # fmt: skip
def test_what_is_not_as_listed_is_refused_and_nothing_is_put_back(
    change: Callable[[dict[str, bytes]], None], reason: str, file: Path, tmp_path: Path
) -> None:
    with pytest.raises(BookError, match=reason):
        restore(tmp_path / "other", changed(file, change), AT)
    assert not (tmp_path / "other").exists()


@pytest.mark.parametrize(
    "name",
    [
        "../outside.csv",
        "/tmp/outside.csv",
        "recordings/../../outside.csv",
        "recordings/./a.csv",
        "recordings//a.csv",
        "recordings/",
        "recordings",
        "recordings\\..\\..\\outside.csv",
        "recordings/a\\b.csv",
        "recordings/a\0b.csv",
        "book.sqlite3.writer",
        "elsewhere/a.csv",
    ],
)
def test_a_name_that_leads_elsewhere_is_refused(name: str, file: Path, tmp_path: Path) -> None:
    def smuggle(inside: dict[str, bytes]) -> None:
        said = json.loads(inside[MANIFEST])
        said["files"][name] = said["files"].pop("recordings/a.csv")
        inside[name] = inside.pop("recordings/a.csv")
        inside[MANIFEST] = json.dumps(said).encode()

    with pytest.raises(BookError, match=r"belongs nowhere here|damaged"):
        restore(tmp_path / "other", changed(file, smuggle), AT)
    assert not (tmp_path / "other").exists()
    assert not (tmp_path / "outside.csv").exists()


def test_what_is_no_backup_is_refused(tmp_path: Path) -> None:
    for content in (b"", b"no zip", b"PK\x05\x06" + b"\0" * 18):
        (tmp_path / "x.zip").write_bytes(content)
        with pytest.raises(BookError):
            restore(tmp_path / "other", tmp_path / "x.zip", AT)
    with pytest.raises(BookError, match="is not there"):
        restore(tmp_path / "other", tmp_path / "y.zip", AT)
    assert not (tmp_path / "other").exists()


def test_an_empty_backup_restores_nothing(tmp_path: Path) -> None:
    with zipfile.ZipFile(tmp_path / "x.zip", "w") as archive:
        archive.writestr(MANIFEST, json.dumps({"roastside_backup": 1, "files": {}}))
    with pytest.raises(BookError, match="is an empty backup; choose another"):
        restore(tmp_path / "other", tmp_path / "x.zip", AT)
    assert not (tmp_path / "other").exists()


def test_what_is_there_is_in_the_way(file: Path, home: Path) -> None:
    before = contents(home)
    with pytest.raises(BookError, match="--replace"):
        restore(home, file, AT)
    assert contents(home) == before


def test_with_replace_what_is_there_is_moved_aside(file: Path, home: Path) -> None:
    before = contents(home)
    write_roast(home, "later.csv")
    (home / "settings.toml").write_text("")
    (home / "cautions-read").touch()
    aside = restore(home, file, AT, replace=True)
    assert aside == home / "before restore 2026-03-20 18.30.00"
    assert contents(aside) == {
        **before,
        "settings.toml": b"",
        "recordings/later.csv": (aside / "recordings" / "later.csv").read_bytes(),
    }
    assert (aside / BOOK_NAME).exists() and (home / "cautions-read").exists()
    with Book.open(home) as book:
        assert take_in_all(book).roasts == 2
    assert not (home / "recordings" / "later.csv").exists()
    again = restore(home, file, AT, replace=True)
    assert again == home / "before restore 2026-03-20 18.30.00 (2)"


def test_not_while_another_roastside_is_open_or_records(file: Path, home: Path) -> None:
    before = contents(home)
    with Book.open(home), pytest.raises(BookError, match="another roastside"):
        restore(home, file, AT, replace=True)
    recorder = Recorder(home / "recordings" / "now.csv", {})
    recorder.open()
    recorder.append(Reading(0.0, 200.0))
    with pytest.raises(BookError, match="being recorded"):
        restore(home, file, AT, replace=True)
    recorder.close()
    (home / "recordings" / "now.csv").unlink()
    assert contents(home) == before


@pytest.mark.parametrize("failing", range(1, 9))
def test_if_anything_fails_on_the_way_everything_is_as_it_was(
    failing: int, file: Path, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = contents(home)
    real, calls = Path.rename, []

    def rename(path: Path, to: Path) -> Path:
        calls.append(path)
        if len(calls) == failing:
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        return real(path, to)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(StoreError, match="cannot be restored"):
        restore(home, file, AT, replace=True)
    assert contents(home) == before
    assert not list(home.glob("before*")) and not list(home.glob(".restoring*"))
    with Book.open(home) as book:
        assert take_in_all(book).unchanged == 3


def test_the_commands_tell_what_they_did(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "b.zip"
    done = run("backup", file, home=home)
    assert (done.code, done.err) == (0, "")
    assert "2 recordings, 1 reference file, the book, the settings" in done.out
    done = run("backup", file, home=home)
    assert (done.code, done.out) == (2, "") and "never overwrites" in done.sentence
    done = run("restore", file, home=home)
    assert (done.code, done.out) == (2, "") and "--replace" in done.sentence
    done = run("restore", file, "--replace", home=home)
    assert (done.code, done.err) == (0, "")
    assert "2 recordings" in done.out and "before restore" in done.out
    shutil.rmtree(home)
    done = run("restore", file, home=home)
    assert (done.code, done.err) == (0, "")
    with closing(Book.open(home)) as book:
        assert take_in_all(book).unchanged == 3
