"""The reference that a roast was held against, found again for its recording."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from roastside.book.store import Book
from roastside.core.errors import BookError, RecordError, UsageError
from roastside.core.reference import Reference
from roastside.live.home import home
from roastside.live.opening import load_reference
from roastside.record.reader import read_roast_file
from roastside.record.titles import file_stem


def own_reference(recording: Path) -> Reference | None:
    """What the header names, a version or a recording kept here; None if it is not found.

    Raises RecordError if the recording is not there or is no roast file.
    """
    title = read_roast_file(recording).header.get("reference", "")
    for folder in ("references", "recordings") if title else ():
        with suppress(RecordError, UsageError):
            found = load_reference(home() / folder / f"{file_stem(title)}.csv")
            if found.title == title:
                return found
    with suppress(BookError, RecordError, UsageError):
        return _titled(title) if title else None
    return None


def _titled(title: str) -> Reference | None:
    """The recording of this title, as the book knows it."""
    with Book.open(home(), write=False) as book:
        row = book.db.execute(
            "SELECT file FROM roast WHERE title = ? ORDER BY started_utc, id LIMIT 1", (title,)
        ).fetchone()
        return load_reference(book.located(row[0])) if row else None
