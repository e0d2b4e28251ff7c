"""Reading a book that may turn out to be damaged."""

from __future__ import annotations

import contextlib
import sqlite3
from collections.abc import Iterator

from roastside.book.store import Book, trouble


@contextlib.contextmanager
def read_from(book: Book) -> Iterator[None]:
    """What cannot be read inside is told as BookError, a sentence."""
    try:
        yield
    except sqlite3.Error as error:
        raise trouble(book.path, error) from error
