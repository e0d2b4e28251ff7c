"""Notes that people write about coffees and versions of references."""

from __future__ import annotations

from datetime import datetime

from roastside.book.rows import Note, typed
from roastside.book.store import Book
from roastside.core.errors import BookError
from roastside.core.text import clean

_LONGEST = 2000


def add_note(
    book: Book,
    text: str,
    at: datetime,
    author: str = "",
    *,
    coffee_id: int | None = None,
    version_id: int | None = None,
) -> int:
    """Keep a note about a coffee or else a version; its id.

    Raises BookError if it is empty, or what it is about is not in the book.
    """
    if (coffee_id is None) == (version_id is None):
        raise ValueError("a note is about a coffee or else a version")
    words = clean(text, _LONGEST)
    if not words:
        raise BookError("the note is empty; type one")
    with book.writing() as db:
        table, column, about = (
            ("coffee", "id", coffee_id)
            if version_id is None
            else ("reference_version", "title", version_id)
        )
        found = db.execute(f"SELECT {column} FROM {table} WHERE id = ?", (about,)).fetchone()
        if found is None:
            raise BookError(
                "what the note is about is no longer in the book; look at the list again"
            )
        made = db.execute(
            "INSERT INTO note (written_at, author, text, coffee_id, version_title)"
            " VALUES (?, ?, ?, ?, ?)",
            (
                at.astimezone().isoformat(timespec="seconds"),
                clean(author),
                words,
                coffee_id,
                None if version_id is None else found["title"],
            ),
        )
    return int(made.lastrowid or 0)


def authors(book: Book) -> list[str]:
    """Who wrote notes, the latest first."""
    rows = book.db.execute(
        "SELECT author FROM note WHERE author <> '' GROUP BY author ORDER BY max(id) DESC"
    )
    return [str(row[0]) for row in rows]


def notes(book: Book, *, coffee_id: int | None = None, version_id: int | None = None) -> list[Note]:
    """The notes about a coffee or a version, the oldest first."""
    rows = book.db.execute(
        "SELECT * FROM note WHERE coffee_id = ? OR version_title ="
        " (SELECT title FROM reference_version WHERE id = ?) ORDER BY id",
        (coffee_id, version_id),
    )
    return [typed(Note, row) for row in rows]
