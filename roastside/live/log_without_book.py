"""When the book cannot be opened: a list of the recordings by their names alone."""

from __future__ import annotations

import re
from pathlib import Path

from roastside.book.store import Book
from roastside.core.text import clean

_BEGUN = re.compile(r"(\d{4}-\d\d-\d\d) (\d\d)\.(\d\d)\.(\d\d)")
"""How a recording's name tells when it was begun."""

_NOT_COUNTED = -1
"""How many readings a recording has that nobody looked into."""


def book_of_names(home: Path, why: str) -> Book:
    """A book in memory that knows what the recordings are called, and nothing of what is in them.

    It cannot be changed; `why` says why not. Nothing is raised.
    """
    book = Book.in_memory(home, why)
    book.db.executemany(
        "INSERT INTO roast (file, content_hash, opening_hash, size_bytes, modified_ns, started_at,"
        " started_utc, title, settled, readings, search)"
        " VALUES (?, '', '', 0, 0, ?, ?, ?, 1, ?, ?)",
        [_row(home, path) for path in _recordings(home)],
    )
    return book


def _recordings(home: Path) -> list[Path]:
    try:
        return sorted((home / "recordings").glob("*.csv"))
    except OSError:
        return []


def _row(home: Path, path: Path) -> tuple[str, str | None, str | None, str, int, str]:
    title = clean(path.stem)
    found = _BEGUN.match(title)
    begun = f"{found[1]}T{found[2]}:{found[3]}:{found[4]}" if found else None
    return path.relative_to(home).as_posix(), begun, begun, title, _NOT_COUNTED, title.casefold()
