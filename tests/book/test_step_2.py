"""What a book of version 1 had, in today's tables: opened, read only, and made anew."""

from __future__ import annotations

import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest

from roastside.book import schema
from roastside.book.belongings import belongings_of
from roastside.book.coffees import coffees, former_names, lot_called
from roastside.book.intake import take_in_all
from roastside.book.notes import add_note, notes
from roastside.book.rebuild import rebuild
from roastside.book.store import BOOK_NAME, Book
from roastside.book.titles_in_use import titles_in_use
from roastside.book.versions import version_titled
from roastside.core.errors import BookError
from tests.book.homes import home_of, write_version
from tests.book.old_books import FOLDER, rows_in

AT = datetime(2026, 3, 20, 18, 30)

STEP_1 = "4213870972668d1a"
"""How the sha256 of the first step begins: books were made with it."""


def home_with(folder: Path, number: int) -> Path:
    """A home with a stored old book and the one file of a reference that it knows of."""
    home = home_of(folder / "home")
    shutil.copy(FOLDER / f"book-{number}.sqlite3", home / BOOK_NAME)
    return home


def spoil(book: Path, table: str) -> None:
    """Damage the page that holds a table."""
    with closing(sqlite3.connect(book)) as db:
        page_bytes = db.execute("PRAGMA page_size").fetchone()[0]
        (root,) = db.execute(
            "SELECT rootpage FROM sqlite_schema WHERE type = 'table' AND name = ?", (table,)
        ).fetchone()
    with book.open("r+b") as file:
        file.seek((root - 1) * page_bytes)
        file.write(b"\xff" * page_bytes)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(home_of(tmp_path / "home")) as opened:
        yield opened


def test_the_first_step_is_as_it_was_when_books_were_made_with_it() -> None:
    assert sha256(schema.STEPS[0].encode()).hexdigest().startswith(STEP_1)


def test_an_old_book_is_brought_up_to_date_also_for_who_only_reads(tmp_path: Path) -> None:
    home = home_with(tmp_path, 1)
    with Book.open(home, write=False) as book:
        assert not book.writable
        assert [coffee.name for coffee in coffees(book)] == ["House espresso", "Lantern Hill decaf"]
        assert [note.text for note in notes(book, version_id=2)] == ["sweeter"]
    assert len(rows_in(home / "book before version 2.sqlite3", "note")) == 2


@pytest.mark.parametrize("number", [1, 2])
def test_what_people_wrote_in_an_old_book_is_in_the_one_made_anew(
    number: int, tmp_path: Path
) -> None:
    home = home_with(tmp_path, number)
    made = rebuild(home, AT)
    assert (made.unread, made.homeless) == ((), 0)
    with Book.open(home) as book:
        house, decaf = coffees(book)
        assert (house.remarks, decaf.decaf) == ("two parts natural", True)
        assert [note.text for note in notes(book, coffee_id=house.id)] == ["par is 4 kg"]
        lot = lot_called(book, house.id, "a OF 2026")
        assert (lot is not None) == (number == 2)
        assert former_names(book) == ({} if number == 1 else {"House blend": "House espresso"})
        assert version_titled(book, "House espresso v2") is None, "its file is away"
        write_version(home, 2)
        take_in_all(book)
        back = version_titled(book, "House espresso v2")
        assert back is not None
        assert [note.text for note in notes(book, version_id=back.id)] == ["sweeter"]


@pytest.mark.parametrize("number", [1, 2])
@pytest.mark.parametrize(
    ("spoilt", "unread"),
    [
        ("note", ["notes"]),
        ("roast", ["names of files"]),
        ("setting", ["settings"]),
        ("lot", ["lots"]),
    ],
)
def test_of_an_old_book_damaged_in_part_all_the_rest_is_read(
    spoilt: str, unread: list[str], number: int, tmp_path: Path
) -> None:
    old = home_with(tmp_path, number) / BOOK_NAME
    spoil(old, spoilt)
    found = belongings_of(old)
    of_lots = ["former names"] if (spoilt, number) == ("lot", 2) else []
    assert found.unread == unread + of_lots
    assert len(found.coffees) == 2
    assert len(found.former_names) == number - 1
    assert len(found.lots) == (spoilt != "lot")
    assert len(found.settings) == (spoilt != "setting")
    assert len(found.coffee_notes) == len(found.version_notes) == (spoilt != "note")


def test_notes_about_versions_are_read_even_where_no_coffee_can_be(tmp_path: Path) -> None:
    old = home_with(tmp_path, 2) / BOOK_NAME
    spoil(old, "coffee")
    found = belongings_of(old)
    assert [row["version_title"] for row in found.version_notes] == ["House espresso v2"]
    assert "coffees" in found.unread


def test_a_version_goes_with_its_file_and_what_was_written_about_it_stays(book: Book) -> None:
    path = write_version(book.home, 1)
    write_version(book.home, 2)
    take_in_all(book)
    first = version_titled(book, "House espresso v1")
    assert first is not None
    add_note(book, "thin", AT, "Ines", version_id=first.id)
    path.rename(book.home / "elsewhere.csv")
    take_in_all(book)
    assert version_titled(book, "House espresso v1") is None
    assert "House espresso v1" in titles_in_use(book), "no new version takes the note for its own"
    (book.home / "elsewhere.csv").rename(path)
    take_in_all(book)
    back = version_titled(book, "house espresso V1")
    assert back is not None
    assert [note.text for note in notes(book, version_id=back.id)] == ["thin"]


def test_a_file_that_gets_another_title_keeps_what_was_written_about_it(book: Book) -> None:
    path = write_version(book.home, 1)
    take_in_all(book)
    version = version_titled(book, "House espresso v1")
    assert version is not None
    add_note(book, "thin", AT.replace(tzinfo=UTC), version_id=version.id)
    path.write_text(path.read_text("utf-8").replace("House espresso v1", "House espresso v7"))
    take_in_all(book)
    found = version_titled(book, "House espresso v7")
    assert found is not None
    assert [note.text for note in notes(book, version_id=found.id)] == ["thin"]


def test_a_title_that_is_no_text_is_that_of_no_version(book: Book) -> None:
    write_version(book.home, 1)
    take_in_all(book)
    assert version_titled(book, "House\udcff") is None
    assert version_titled(book, "House \udcffespresso v1") is not None, "what shows of it is it"


def test_no_note_is_about_both_or_nothing(book: Book) -> None:
    for about in ("1, 'x'", "NULL, NULL", "NULL, ''"):
        with pytest.raises(BookError), book.writing() as db:
            db.execute("INSERT INTO coffee (id, name) VALUES (1, 'House espresso')")
            db.execute(
                "INSERT INTO note (written_at, text, coffee_id, version_title)"
                f" VALUES ('2026-03-20', 'x', {about})"
            )
