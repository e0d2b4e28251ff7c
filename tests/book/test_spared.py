"""What is away for a moment, or odd, costs nothing that the book alone knows."""

from __future__ import annotations

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from roastside.book.intake import take_in_all
from roastside.book.notes import add_note, notes
from roastside.book.store import Book
from roastside.book.versions import version_titled, versions
from roastside.cli import main
from roastside.live.references import from_roast, save_reference
from roastside.record.lineage import Lineage
from roastside.record.reader import read_roast_file

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


@pytest.fixture
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    (tmp_path / "recordings").mkdir()
    return tmp_path


def made(title: str = "House espresso", version: int = 1) -> Path:
    lineage = Lineage(title, version, "House espresso", origin="roast")
    file = read_roast_file(FIXTURES / "house-good-repeat-1.csv")
    return save_reference(from_roast(file, lineage.title), lineage)


@pytest.mark.parametrize("trouble", ["away", "spoiled"])
def test_a_note_outlives_the_absence_of_its_references_file(home: Path, trouble: str) -> None:
    path = made()
    made("Another")
    with Book.open(home) as book:
        take_in_all(book)
        version = version_titled(book, "House espresso v1")
        assert version is not None
        add_note(book, "gentler is better", datetime(2026, 3, 2, tzinfo=UTC), version_id=version.id)
        whole = path.read_bytes()
        path.unlink() if trouble == "away" else path.write_bytes(b"\0")
        take_in_all(book)
        path.write_bytes(whole)
        take_in_all(book)
        back = version_titled(book, "House espresso v1")
        assert back is not None
        assert [note.text for note in notes(book, version_id=back.id)] == ["gentler is better"]


def test_a_version_nobody_wrote_about_goes_with_its_file(home: Path) -> None:
    path = made()
    made("Another")
    with Book.open(home) as book:
        take_in_all(book)
        path.unlink()
        take_in_all(book)
        assert [version.title for version in versions(book)] == ["Another v1"]


def test_a_name_that_is_no_text_and_a_time_far_away_cost_no_other_roast(home: Path) -> None:
    roast = (FIXTURES / "house-good-repeat-1.csv").read_bytes()
    far = home / "recordings" / "far.csv"
    far.write_bytes(roast)
    os.utime(far, (10_413_792_000, 10_413_792_000))  # 2300-01-01
    try:
        Path(os.fsdecode(bytes(home / "recordings") + b"/bad\xff.csv")).write_bytes(roast)
    except (OSError, UnicodeError):
        pytest.skip("this file system takes no such name")
    with Book.open(home) as book:
        assert take_in_all(book).roasts == 1
        assert take_in_all(book).unchanged == 1


def test_a_damaged_page_is_one_sentence(home: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with Book.open(home) as book:
        pages = [row[0] for row in book.db.execute("SELECT rootpage FROM sqlite_schema")]
        size = book.db.execute("PRAGMA page_size").fetchone()[0]
        book.db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    with (home / "book.sqlite3").open("r+b") as file:
        for page in filter(None, pages):
            file.seek((page - 1) * size)
            file.write(b"\xff" * size)
    assert main(["consistency", "House espresso v1"]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1 and "roastside rebuild" in told
