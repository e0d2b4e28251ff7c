"""The book with what was recorded since it was last opened."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from pathlib import Path

from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.core.errors import BookError
from roastside.core.text import clean
from roastside.desk.progress import ProgressBar
from roastside.live.taking_in import refused_words


@contextlib.contextmanager
def up_to_date_book(home: Path) -> Iterator[Book]:
    """The book of `home`, made if need be, opened for reading after what is new was taken in.

    If that cannot be done, as another roastside has the book open or the disk is full, stderr is
    told so once all else is done. Raises BookError, a sentence, if there is no book to read.
    """
    try:
        with Book.open(home) as book:
            said = (
                _take_in(book)
                if book.writable
                else f"the newest roasts may be missing, as {book.why_not}"
            )
    except BookError as error:
        said = _missing(error)
    with Book.open(home, write=False) as book:
        yield book
    if said:
        print(f"roastside: {said}", file=sys.stderr)


def _take_in(book: Book) -> str:
    """Take in what is new; what there is to say about it, empty if all is well."""
    bar = ProgressBar()
    try:
        return refused_words(take_in_all(book, lambda done, count: bar(done, count, "")))
    except BookError as error:
        return _missing(error)
    finally:
        bar.take_away()


def _missing(error: BookError) -> str:
    return f"the newest roasts may be missing: {clean(str(error), 400)}"
