"""A roast that has just ended, in the book; and the roasts that still want filling in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from roastside.book.apart import book_apart
from roastside.book.intake import known_as_it_is, take_in
from roastside.book.roasts import count_unfinished, roast_in, roast_of, titles_of, unfinished
from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import BookError

_MOST = 9


@dataclass(frozen=True, slots=True)
class ToFillIn:
    """A roast of which something is missing, in words; its recording."""

    path: Path
    words: str


@dataclass(frozen=True, slots=True)
class KnownRoasts:
    """The newest roasts that want something filled in, how many more do, and what recordings are
    called."""

    to_fill_in: Sequence[ToFillIn] = ()
    more: int = 0
    titles: Mapping[Path, str] = field(default_factory=dict)


def taken_in(home: Path, recording: Path) -> tuple[Book, Roast]:
    """The roast of a recording, in the book open for writing; the caller closes the book.

    Where the book cannot be changed now, as when another roastside has its Log open, it comes in
    a book apart: what is filled in then goes to the recording, from which the book takes it later.
    Raises RecordError if the recording cannot be read.
    """
    try:
        book = Book.open(home)
    except BookError:
        return _apart(home, recording)
    try:
        return book, roast_of(book, take_in(book, recording))
    except BookError:
        book.close()
        return _apart(home, recording)
    except BaseException:
        book.close()
        raise


def _apart(home: Path, recording: Path) -> tuple[Book, Roast]:
    book = book_apart(home, ())
    try:
        return book, roast_of(book, take_in(book, recording))
    except BaseException:
        book.close()
        raise


def known_of(home: Path, recordings: Sequence[Path]) -> KnownRoasts:
    """What is known of the newest roasts: by the book, or by recordings newer than it.

    `recordings`: the newest first. Nothing is raised.
    """
    missing: list[Roast] = []
    titles: dict[Path, str] = {}
    newer, more = list(recordings[:_MOST]), 0
    try:
        with Book.open(home, write=False) as book:
            titles = titles_of(book, recordings)
            missing = list(unfinished(book, _MOST))
            more = count_unfinished(book) - len(missing)
            listed = [book.located(roast.file) for roast in missing]
            unlisted = [path for path in recordings if path not in titles][:_MOST]
            newer = [path for path in listed if known_as_it_is(book, path) is None] + unlisted
    except BookError:
        pass
    with closing(book_apart(home, newer)) as apart:
        for path in newer:
            roast = roast_in(apart, apart.named(path))
            if roast is not None:
                titles[path] = roast.title
                missing = [each for each in missing if each.file != roast.file] + [roast]
    missing = [roast for roast in missing if roast.unfinished]
    missing.sort(key=lambda roast: roast.started_utc or "", reverse=True)
    more += len(missing[_MOST:])
    return KnownRoasts(
        [ToFillIn(home / roast.file, _words(roast)) for roast in missing[:_MOST]], more, titles
    )


def _words(roast: Roast) -> str:
    missing = ", ".join(roast.unfinished)
    return f"{roast.title}: {missing}"
