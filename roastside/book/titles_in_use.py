"""The titles of references that a new version must not take."""

from __future__ import annotations

from roastside.book.store import Book


def titles_in_use(book: Book) -> list[str]:
    """The titles of all versions, and those that roasts and notes name although it is away.

    A roast was held against what it names, whether that is there or not: were a new version called
    the same, the roast would count as one of its own, as would what people wrote about the other.
    """
    rows = book.db.execute(
        "SELECT title FROM reference_version UNION"
        " SELECT reference_title FROM roast WHERE reference_title <> '' UNION"
        " SELECT version_title FROM note WHERE version_title IS NOT NULL ORDER BY 1"
    )
    return [str(row[0]) for row in rows]
