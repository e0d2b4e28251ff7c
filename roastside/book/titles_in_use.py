"""The titles of references that a new version must not take."""

from __future__ import annotations

from roastside.book.store import Book


def titles_in_use(book: Book) -> list[str]:
    """The titles of all versions, and those that roasts name although no version has them.

    A roast was held against what it names, whether that is there or not: were a new version called
    the same, the roast would count as one of its own.
    """
    rows = book.db.execute(
        "SELECT title FROM reference_version UNION"
        " SELECT reference_title FROM roast WHERE reference_title <> '' ORDER BY 1"
    )
    return [str(row[0]) for row in rows]
