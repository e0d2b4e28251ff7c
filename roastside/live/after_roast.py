"""A roast that has just ended, in the book; and the roasts that still want filling in."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import closing, suppress
from dataclasses import dataclass, field, replace
from itertools import islice
from pathlib import Path

from roastside.book.apart import book_apart
from roastside.book.intake import is_refused_as_it_is, known_as_it_is, take_in
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


def renewed(book: Book, roast: Roast) -> Roast:
    """The roast as its recording tells it now: the book takes it in again if that has changed.

    Of a book that cannot be changed only the row given is put right, by what the recording tells.
    Raises RecordError if the recording cannot be read, BookError.
    """
    path = book.located(roast.file)
    if book.writable:
        return roast_of(book, take_in(book, path))
    if known_as_it_is(book, path) is not None:
        return roast_of(book, roast.id)
    apart, found = _apart(book.home, path)
    apart.close()
    return replace(
        found,
        id=roast.id,
        version_id=roast.version_id,
        worst_departure_c=roast.worst_departure_c,
        within_share=roast.within_share,
    )


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
    recordings = [path for path in recordings if _can_be_named(path)]
    missing: list[Roast] = []
    titles: dict[Path, str] = {}
    newer, more = list(recordings[:_MOST]), 0
    try:
        with Book.open(home, write=False) as book:
            titles = titles_of(book, recordings)
            missing = list(unfinished(book, _MOST))
            more = count_unfinished(book) - len(missing)
            listed = [book.located(roast.file) for roast in missing]
            newer = [path for path in listed if known_as_it_is(book, path) is None]
            unlisted = (path for path in recordings if path not in titles)
            newer += islice((p for p in unlisted if not is_refused_as_it_is(book, p)), _MOST)
    except BookError:
        pass
    if newer:
        with closing(book_apart(home, newer)) as apart:
            for path in newer:
                roast = roast_in(apart, apart.named(path))
                if roast is not None:
                    titles[path] = roast.title
                    missing = [each for each in missing if each.file != roast.file] + [roast]
    missing = [roast for roast in missing if roast.unfinished and (home / roast.file).exists()]
    missing.sort(key=lambda roast: roast.started_utc or "", reverse=True)
    more += len(missing[_MOST:])
    return KnownRoasts(
        [ToFillIn(home / roast.file, _words(roast)) for roast in missing[:_MOST]], more, titles
    )


def _can_be_named(path: Path) -> bool:
    """Whether text can hold its name, as the book needs it; a memory stick may bring others."""
    with suppress(UnicodeEncodeError):
        return bool(str(path).encode())
    return False


def _words(roast: Roast) -> str:
    missing = ", ".join(roast.unfinished)
    return f"{roast.title}: {missing}"
