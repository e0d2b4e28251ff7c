"""The book's file: made, brought up to date, shared, refused."""

from __future__ import annotations

import os
import shutil
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from roastside.book import store
from roastside.book.coffees import coffee_named, coffees, lot_named, lots
from roastside.book.schema import STEPS, VERSION
from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import BookError
from tests.book.old_books import FOLDER, ROWS, TODAY, rows_in

OLD = sorted(FOLDER.glob("book-*.sqlite3"))


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    with Book.open(tmp_path) as opened:
        yield opened


def tables(path: Path) -> set[str]:
    with closing(sqlite3.connect(path)) as db:
        return {row[0] for row in db.execute("SELECT name FROM sqlite_schema WHERE type='table'")}


def test_there_is_a_stored_book_of_every_version() -> None:
    assert {int(path.stem.rpartition("-")[2]) for path in OLD} == set(range(1, VERSION + 1))


@pytest.mark.parametrize("old", OLD, ids=lambda path: path.stem)
def test_a_stored_book_becomes_todays_with_everything_in_it(old: Path, tmp_path: Path) -> None:
    number = int(old.stem.rpartition("-")[2])
    shutil.copy(old, tmp_path / BOOK_NAME)
    with Book.open(tmp_path) as book:
        assert book.db.execute("PRAGMA user_version").fetchone()[0] == VERSION
        assert [row[0] for row in book.db.execute("PRAGMA integrity_check")] == ["ok"]
        assert book.db.execute("PRAGMA foreign_key_check").fetchall() == []
    assert set(ROWS[number]) == tables(old), "every table of the old book had something in it"
    for table, rows in TODAY[number].items():
        now = rows_in(tmp_path / BOOK_NAME, table)
        assert len(now) == len(rows)
        for row in rows:
            assert any(row.items() <= found.items() for found in now), (table, row)


def test_a_new_book_keeps_its_promises(book: Book) -> None:
    def asked(pragma: str) -> object:
        return book.db.execute(f"PRAGMA {pragma}").fetchone()[0]

    assert (asked("journal_mode"), asked("foreign_keys"), asked("user_version")) == (
        "wal",
        1,
        VERSION,
    )
    strict = book.db.execute("SELECT name, strict FROM pragma_table_list WHERE schema = 'main'")
    assert {row["name"] for row in strict if not row["strict"]} <= {"sqlite_schema"}
    with pytest.raises(BookError), book.writing() as db:
        db.execute("INSERT INTO lot (coffee_id, name) VALUES (77, 'of no coffee')")
    with pytest.raises(BookError), book.writing() as db:
        db.execute("INSERT INTO coffee (name, decaf) VALUES ('x', 'a word')")


def test_a_step_that_fails_half_way_leaves_the_old_book_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(OLD[-1], tmp_path / BOOK_NAME)
    bad = "CREATE TABLE begun (a INTEGER) STRICT; DELETE FROM note; INSERT INTO nowhere VALUES (1)"
    monkeypatch.setattr(store, "STEPS", (*STEPS, bad))
    monkeypatch.setattr(store, "VERSION", VERSION + 1)
    with pytest.raises(BookError, match="nowhere"):
        Book.open(tmp_path)
    assert "begun" not in tables(tmp_path / BOOK_NAME)
    assert len(rows_in(tmp_path / BOOK_NAME, "note")) == 2
    monkeypatch.undo()
    with Book.open(tmp_path) as book:
        assert book.writable
        assert book.db.execute("PRAGMA user_version").fetchone()[0] == VERSION


def test_before_a_step_the_old_book_is_copied(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(OLD[-1], tmp_path / BOOK_NAME)
    monkeypatch.setattr(store, "STEPS", (*STEPS, "DELETE FROM note"))
    monkeypatch.setattr(store, "VERSION", VERSION + 1)
    Book.open(tmp_path).close()
    assert rows_in(tmp_path / BOOK_NAME, "note") == []
    assert len(rows_in(tmp_path / f"book before version {VERSION + 1}.sqlite3", "note")) == 2


def test_a_book_of_a_newer_roastside_is_left_alone(book: Book, tmp_path: Path) -> None:
    book.db.execute(f"PRAGMA user_version = {VERSION + 1}")
    book.close()
    for write in (True, False):
        with pytest.raises(BookError, match="newer roastside"):
            Book.open(tmp_path, write)


def test_an_older_book_that_another_writes_cannot_be_read_yet(book: Book, tmp_path: Path) -> None:
    book.db.execute("PRAGMA user_version = 0")
    with pytest.raises(BookError, match="another version"):
        Book.open(tmp_path)


@pytest.mark.parametrize("write", [True, False])
@pytest.mark.parametrize("content", [b"no book at all" * 400, b"SQLite format 3\0" + b"x" * 4080])
def test_what_is_no_book_is_refused_in_a_sentence(
    content: bytes, write: bool, tmp_path: Path
) -> None:
    (tmp_path / BOOK_NAME).write_bytes(content)
    with pytest.raises(BookError, match="roastside rebuild"):
        Book.open(tmp_path, write)
    assert (tmp_path / BOOK_NAME).read_bytes() == content


def test_the_database_of_another_program_is_not_touched(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / BOOK_NAME)) as other:
        other.execute("CREATE TABLE theirs (a)")
    with pytest.raises(BookError, match="is no book of roastside"):
        Book.open(tmp_path)
    assert tables(tmp_path / BOOK_NAME) == {"theirs"}


def test_a_damaged_book_is_told_of(tmp_path: Path) -> None:
    shutil.copy(OLD[-1], tmp_path / BOOK_NAME)
    with (tmp_path / BOOK_NAME).open("r+b") as file:
        file.seek(4096)
        file.write(b"\xff" * 60_000)
    with (
        pytest.raises(BookError, match="damaged"),
        Book.open(tmp_path) as book,
        book.writing() as db,
    ):
        db.execute("SELECT * FROM roast").fetchall()


def test_there_is_no_book_to_read_before_one_is_made(tmp_path: Path) -> None:
    with pytest.raises(BookError, match="not there yet"):
        Book.open(tmp_path, write=False)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() == 0, reason="needs a folder that cannot be written"
)
def test_in_a_folder_that_cannot_be_written_it_is_read(tmp_path: Path) -> None:
    Book.open(tmp_path).close()
    tmp_path.chmod(0o500)
    try:
        with Book.open(tmp_path) as book:
            assert not book.writable and "nothing can be written" in book.why_not
    finally:
        tmp_path.chmod(0o700)


def test_where_no_folder_can_be_made_there_is_no_book(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(BookError, match="not there yet"):
        Book.open(tmp_path / "file")


def test_one_writes_and_others_read_what_it_wrote(book: Book, tmp_path: Path) -> None:
    with Book.open(tmp_path) as second:
        assert book.writable and not second.writable
        with book.writing():
            coffee_named(book, "Fenmoor washed")
            assert coffees(second) == [], "it is not kept yet"
        assert [coffee.name for coffee in coffees(second)] == ["Fenmoor washed"]
        with pytest.raises(BookError, match="another roastside"), second.writing():
            pass
    book.close()
    with Book.open(tmp_path) as third:
        assert third.writable


def test_a_change_is_kept_whole_or_not_at_all(book: Book) -> None:
    with pytest.raises(KeyError), book.writing():
        coffee_named(book, "Fenmoor washed")
        raise KeyError
    assert coffees(book) == []
    with pytest.raises(BookError), book.writing() as db:
        coffee_named(book, "Fenmoor washed")
        db.execute("INSERT INTO nowhere VALUES (1)")
    assert coffees(book) == []


def test_a_full_disk_loses_nothing_that_was_kept(book: Book) -> None:
    with book.writing():
        coffee_named(book, "Fenmoor washed")
    pages = book.db.execute("PRAGMA page_count").fetchone()[0]
    book.db.execute(f"PRAGMA max_page_count = {pages}")
    with pytest.raises(BookError, match="disk is full"), book.writing() as db:
        db.execute("UPDATE coffee SET remarks = ?", ("x" * 100_000,))
    assert [coffee.remarks for coffee in coffees(book)] == [""]
    book.db.execute("PRAGMA max_page_count = 100000")
    with book.writing() as db:
        db.execute("UPDATE coffee SET remarks = ?", ("x" * 100_000,))


def test_coffees_and_lots_need_a_name_and_are_found_by_it(book: Book) -> None:
    with book.writing() as db:
        coffee = coffee_named(book, " Fenmoor  washed\n", decaf=True)
        assert coffee_named(book, "fenmoor washed") == coffee
        old, new = lot_named(book, coffee, "A"), lot_named(book, coffee, "B")
        assert lot_named(book, coffee, "a") == old
        db.execute("UPDATE lot SET received_on = '2026-03-01' WHERE id = ?", (new,))
    assert [(found.name, found.decaf) for found in coffees(book)] == [("Fenmoor washed", True)]
    assert [lot.name for lot in lots(book, coffee)] == ["B", "A"], "the latest delivery first"
    for empty in ("", " \t", "\u200b"):
        with pytest.raises(BookError, match="needs a name"), book.writing():
            coffee_named(book, empty)
        with pytest.raises(BookError, match="needs a name"), book.writing():
            lot_named(book, coffee, empty)


def test_files_are_named_from_home(book: Book, tmp_path: Path) -> None:
    file = tmp_path / "recordings" / "a.csv"
    assert book.named(file) == "recordings/a.csv"
    assert book.located("recordings/a.csv") == file
    assert book.named(tmp_path.parent / "b.csv") == (tmp_path.parent / "b.csv").as_posix()
