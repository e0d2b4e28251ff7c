"""Recordings read straight from their files, where the book itself cannot take them in now."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable
from pathlib import Path

from roastside.book.intake import take_in
from roastside.book.store import Book
from roastside.core.errors import BookError, RecordError

_NAMES = (
    ("coffee", "id, name, decaf, remarks"),
    ("lot", "id, coffee_id, name, supplier, received_on, remarks"),
    ("former_name", "name, coffee_id"),
    ("former_lot_name", "coffee_id, name, lot_id"),
)
"""What coffees and lots are and were called: tables and columns, in the order to fill them."""


def book_apart(home: Path, recordings: Iterable[Path]) -> Book:
    """A book in memory that holds these roasts alone, and the coffees and lots of the real book.

    It can be changed, and nothing of that is kept but what goes to the recordings themselves. What
    cannot be read or is still being recorded is left out; nothing is raised.
    """
    apart = Book.in_memory(home)
    with contextlib.suppress(BookError), Book.open(home, write=False) as book:
        _learn_names(apart, book)
    for path in recordings:
        with contextlib.suppress(RecordError):
            take_in(apart, path)
    return apart


def _learn_names(apart: Book, book: Book) -> None:
    with apart.writing() as db:
        for table, columns in _NAMES:
            rows = book.db.execute(f"SELECT {columns} FROM {table}").fetchall()
            places = ", ".join("?" * (columns.count(",") + 1))
            db.executemany(f"INSERT INTO {table} ({columns}) VALUES ({places})", map(tuple, rows))
