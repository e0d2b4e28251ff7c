"""Making the book anew from the files: `roastside rebuild`."""

from __future__ import annotations

import contextlib
import sqlite3
import sys
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from roastside.book.belongings import Belongings, belongings_of, give_names, give_rest
from roastside.book.connection import trouble
from roastside.book.intake import RECORDINGS, Progress, TakenIn, take_in_all
from roastside.book.store import BESIDE, BOOK_NAME, Book
from roastside.core.errors import BookError
from roastside.core.text import clean
from roastside.record import disk

_NEW_NAME = "book being made.sqlite3"


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

    What only the old book has is carried over, as far as it can be read. The old book is kept
    under a name with the time `at`, once the new one is whole; there is a book at every moment.
    Raises BookError if another
    roastside writes the book, or it cannot be stored.
    """
    path = home / BOOK_NAME
    with Book.anew(home, _NEW_NAME) as book:
        there = path.exists()
        found = belongings_of(path) if there else Belongings()
        try:
            give_names(book, found)
            taken_in = take_in_all(book, progress)
            homeless = give_rest(book, found)
            # Closed while the lock is still held, so that nobody begins a book in between.
            book.db.execute("PRAGMA journal_mode = DELETE")
            book.db.close()
        except sqlite3.Error as error:
            raise trouble(book.path, error) from error
        old = _put_in_place(home / _NEW_NAME, path, at)
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
    if not (home / RECORDINGS).is_dir():
        lines.append(f"There is no folder {clean(str(home / RECORDINGS))}.")
    if taken.refused:
        lines.append(f"{counted(len(taken.refused), 'file')} could not be taken in:")
        lines += [f"  {reason}" for reason in taken.refused.values()]
    if made.unread:
        lines.append(
            f"The old book is damaged: {' and '.join(made.unread)} that people wrote in it could "
            "not be read. A backup may still have it."
        )
    if made.homeless:
        lines.append(f"What {counted(made.homeless, 'note')} told of is not there any more.")
    if made.old is not None:
        lines.append(f"The old book is kept as {clean(str(made.old))}.")
    return lines


def counted(number: int, one: str) -> str:
    """`1 roast`, `1,204 roasts`."""
    return f"{number:,} {one}{'' if number == 1 else 's'}"


def _put_in_place(new: Path, path: Path, at: datetime) -> Path | None:
    """Keep the old book under another name too, then put the new one in its place in one step.

    However this ends, there is a whole book at `path`. Returns where the old one is.
    """
    stem = f"book until {at:%Y-%m-%d %H.%M.%S}"
    aside = disk.free_name(path.parent, stem, path.suffix) if path.exists() else None
    try:
        if aside is not None:
            _keep_aside(path, aside)
        new.replace(path)
    except (OSError, BookError) as error:
        if aside is not None:
            for ending in BESIDE:
                with contextlib.suppress(OSError):
                    aside.with_name(aside.name + ending).unlink()
        why = disk.reason(error) if isinstance(error, OSError) else str(error)
        raise BookError(
            f"{clean(str(path))} cannot be replaced ({why}), so it is as it was; "
            "close every other roastside and try again"
        ) from error
    disk.sync_folder(path.parent)
    return aside


def _keep_aside(path: Path, aside: Path) -> None:
    """Give the old book a second name, and leave no changes of it beside the name it had.

    SQLite would take what lies there for changes of the new book.
    """
    _move_changes_in(path)
    for ending in BESIDE:
        piece = path.with_name(path.name + ending)
        if piece.exists():
            disk.second_name(piece, aside.with_name(aside.name + ending))
    disk.sync_folder(path.parent)
    for ending in BESIDE[1:]:
        path.with_name(path.name + ending).unlink(missing_ok=True)


def _move_changes_in(path: Path) -> None:
    """Have SQLite move the old book's last changes into its one file, unless it is damaged."""
    with contextlib.suppress(sqlite3.DatabaseError):
        with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as old:
            busy = old.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()[0]
        if busy:
            raise BookError("another program reads it")


def _show(done: int, whole: int) -> None:
    print(f"\r{done:,} of {whole:,} files", end="", file=sys.stderr, flush=True)
