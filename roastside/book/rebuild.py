"""Making the book anew from the files: `roastside rebuild`."""

from __future__ import annotations

import contextlib
import sys
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from roastside.book.belongings import Belongings, belongings_of, give_names, give_notes
from roastside.book.intake import Progress, TakenIn, take_in_all
from roastside.book.store import BOOK_NAME, Book
from roastside.core.errors import BookError
from roastside.core.text import clean
from roastside.record import disk

_NEW_NAME = "book being made.sqlite3"
_BESIDE = ("", "-wal", "-shm")
"""What SQLite keeps of a book that was not closed lies in files beside it."""


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """What came of it. `old`: where the old book was moved to, None if there was none.

    `unread`: what could not be read of the old book, in words; `homeless`: how many notes are
    about nothing that is still there.
    """

    taken_in: TakenIn
    old: Path | None
    unread: tuple[str, ...]
    homeless: int


def rebuild(home: Path, at: datetime, progress: Progress | None = None) -> Rebuilt:
    """Make the book of `home` anew from its recordings and references.

    What only the old book has is carried over, as far as it can be read. The old book is moved
    aside under a name with the time `at`, once the new one is whole. Raises BookError if another
    roastside writes the book, or it cannot be stored.
    """
    path = home / BOOK_NAME
    _remove(home / _NEW_NAME)
    with Book.open(home, name=_NEW_NAME) as book:
        if not book.writable:
            raise BookError(f"the book cannot be made anew, as {book.why_not}; close it first")
        there = path.exists()
        found = belongings_of(path) if there else Belongings()
        give_names(book, found)
        taken_in = take_in_all(book, progress)
        homeless = give_notes(book, found)
        # Closed while the lock is still held, so that nobody begins a book in between.
        book.db.execute("PRAGMA journal_mode = DELETE")
        book.db.close()
        old = _moved_aside(path, at) if there else None
        _move(home / _NEW_NAME, path)
    return Rebuilt(taken_in, old, tuple(found.unread), homeless)


def rebuild_and_tell(home: Path) -> int:
    """The command: rebuild, with progress on a terminal and an account of it; the exit code.

    Raises BookError with a sentence.
    """
    shown = sys.stderr.isatty()
    made = rebuild(home, datetime.now(), _show if shown else None)
    if shown:
        print(file=sys.stderr)
    print("\n".join(account(home, made)))
    return 0


def account(home: Path, made: Rebuilt) -> list[str]:
    """What came of a rebuild, in lines for people."""
    taken = made.taken_in
    lines = [
        f"The book is made anew: {counted(taken.roasts, 'roast')}, "
        f"{counted(taken.versions, 'version')} of references."
    ]
    lines += [
        f"The folder {clean(str(home / folder))} could not be looked through ({why})."
        for folder, why in taken.missing.items()
    ]
    lines += [f"Left for later, as it is still being recorded: {name}" for name in taken.recording]
    if taken.refused:
        lines.append(f"{counted(len(taken.refused), 'file')} could not be taken in:")
        lines += [f"  {reason}" for reason in taken.refused.values()]
    if made.unread:
        lines.append(
            f"The old book is damaged: {' and '.join(made.unread)} that people wrote in it could "
            "not be read. A backup may still have it."
        )
    if made.homeless:
        lines.append(f"{counted(made.homeless, 'note')} is about nothing that is still there.")
    if made.old is not None:
        lines.append(f"The old book is kept as {clean(str(made.old))}.")
    return lines


def counted(number: int, one: str) -> str:
    """`1 roast`, `1,204 roasts`."""
    return f"{number:,} {one}{'' if number == 1 else 's'}"


def _moved_aside(path: Path, at: datetime) -> Path:
    """Where the old book is now."""
    stem = f"book until {at:%Y-%m-%d %H.%M.%S}"
    count, to = 1, path.with_name(f"{stem}.sqlite3")
    while to.exists():
        count += 1
        to = path.with_name(f"{stem} ({count}).sqlite3")
    for ending in _BESIDE:
        with contextlib.suppress(FileNotFoundError):
            _move(path.with_name(path.name + ending), to.with_name(to.name + ending))
    return to


def _move(path: Path, to: Path) -> None:
    try:
        path.rename(to)
    except FileNotFoundError:
        raise
    except OSError as error:
        raise BookError(
            f"{clean(str(path))} cannot be moved to {clean(str(to))} ({disk.reason(error)}); close "
            "every other roastside and try again"
        ) from error


def _remove(path: Path) -> None:
    for ending in _BESIDE:
        with contextlib.suppress(FileNotFoundError):
            path.with_name(path.name + ending).unlink()


def _show(done: int, whole: int) -> None:
    print(f"\r{done:,} of {whole:,} files", end="", file=sys.stderr, flush=True)
