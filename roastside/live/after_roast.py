"""A roast that has just ended, in the book; and the roasts that still want filling in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from roastside.book.intake import take_in
from roastside.book.roasts import roast_of, titles_of, unfinished
from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import BookError

_MOST = 9


@dataclass(frozen=True, slots=True)
class ToFillIn:
    """A roast of which something is missing, in words."""

    roast_id: int
    words: str


@dataclass(frozen=True, slots=True)
class KnownRoasts:
    """The newest roasts that want something filled in, and what recordings are called."""

    to_fill_in: Sequence[ToFillIn] = ()
    titles: Mapping[Path, str] = field(default_factory=dict)


def taken_in(home: Path, recording: Path) -> tuple[Book, Roast]:
    """The book, open for writing, and the roast in it; the caller closes the book.

    Raises BookError if another roastside writes it (which takes the roast in later) or it cannot be
    opened, RecordError if the recording cannot be read.
    """
    book = Book.open(home)
    try:
        return book, roast_of(book, take_in(book, recording))
    except BaseException:
        book.close()
        raise


def opened_for(home: Path, roast_id: int) -> tuple[Book, Roast]:
    """The same of a roast that is in the book. Raises BookError."""
    book = Book.open(home)
    try:
        return book, roast_of(book, roast_id)
    except BaseException:
        book.close()
        raise


def known_of(home: Path, recordings: Sequence[Path]) -> KnownRoasts:
    """What the book knows of the newest roasts; nothing if there is no book to read."""
    try:
        with Book.open(home, write=False) as book:
            missing = [ToFillIn(each.id, _words(each)) for each in unfinished(book, _MOST)]
            return KnownRoasts(missing, titles_of(book, recordings))
    except BookError:
        return KnownRoasts()


def _words(roast: Roast) -> str:
    missing = ", ".join(roast.unfinished)
    return f"{roast.title}: {missing}"
