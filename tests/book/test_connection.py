"""Whatever SQLite complains of comes as a sentence, at whatever row it meets it."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.book.coffees import coffee_named, coffees
from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import BookError


def test_a_page_damaged_far_into_a_table_is_a_sentence_also_when_reading_has_begun(
    tmp_path: Path,
) -> None:
    with Book.open(tmp_path) as book, book.writing() as db:
        db.executemany(
            "INSERT INTO coffee (name, remarks) VALUES (?, ?)",
            [(f"Coffee {number:05}", "x" * 300) for number in range(2000)],
        )
    whole = (tmp_path / BOOK_NAME).read_bytes()
    page = int.from_bytes(whole[16:18], "big")
    with (tmp_path / BOOK_NAME).open("r+b") as file:
        for first in range(len(whole) // page // 2 * page, len(whole), page):
            file.seek(first)
            file.write(b"\xff" * 64)
    with Book.open(tmp_path) as book:
        rows = iter(book.db.execute("SELECT * FROM coffee"))
        assert next(rows)["name"] == "Coffee 00000"
        with pytest.raises(BookError, match=r"book\.sqlite3 is damaged .* rebuild"):
            list(rows)
        with pytest.raises(BookError, match="is damaged"):
            coffees(book)
        with pytest.raises(BookError, match="is damaged"):
            book.db.execute("SELECT * FROM coffee").fetchall()


def test_a_full_disk_is_a_sentence_and_what_was_there_is_kept(tmp_path: Path) -> None:
    with Book.open(tmp_path) as book:
        with book.writing():
            coffee_named(book, "Quarry Road natural")
        pages = book.db.execute("PRAGMA page_count").fetchone()[0]
        book.db.execute(f"PRAGMA max_page_count = {pages}")
        full = pytest.raises(BookError, match="the disk is full; free some space")
        with full, book.writing() as db:
            db.execute("UPDATE coffee SET remarks = ?", ("x" * 100_000,))
        assert not book.db.in_transaction
        assert [coffee.remarks for coffee in coffees(book)] == [""]
        book.db.execute(f"PRAGMA max_page_count = {pages + 100}")
        with book.writing() as db:
            db.execute("UPDATE coffee SET remarks = ?", ("x" * 100_000,))


def test_a_book_that_is_closed_or_lost_its_tables_is_a_sentence(tmp_path: Path) -> None:
    book = Book.open(tmp_path)
    with pytest.raises(BookError, match="cannot be used"):
        book.db.execute("SELECT * FROM nowhere")
    book.close()
    with pytest.raises(BookError, match="cannot be used"):
        coffees(book)


def test_another_program_that_keeps_the_book_is_named_as_the_cause(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("roastside.book.store._BUSY_S", 0.01)
    with Book.open(tmp_path) as book, book.beside() as other:
        busy = pytest.raises(BookError, match="busy in another program")
        with other.writing(), busy, book.writing():
            pass
        with book.writing():
            coffee_named(book, "Fenmoor washed")
