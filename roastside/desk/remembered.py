"""Layouts that were told once, kept in the book for the next files with the same columns."""

from __future__ import annotations

from roastside.book.store import Book
from roastside.desk.layout import Layout
from roastside.desk.table import Table

_NAME = "import layout "


class Layouts:
    """By the names of a table's columns. Where the book cannot be written, for this run only."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._known: dict[str, Layout] = {}

    def of(self, table: Table) -> Layout | None:
        """The layout told for such a table; None if there is none."""
        key = table.fingerprint
        if key not in self._known:
            row = self._book.db.execute(
                "SELECT value FROM setting WHERE name = ?", (_NAME + key,)
            ).fetchone()
            kept = Layout.from_json(row[0]) if row else None
            if kept is None or not kept.fits(table.names):
                return None
            self._known[key] = kept
        return self._known[key]

    def keep(self, table: Table, layout: Layout) -> None:
        """Remember it. Raises BookError if a book that can be written does not take it."""
        key = table.fingerprint
        if self._known.get(key) == layout:
            return
        self._known[key] = layout
        if self._book.writable:
            with self._book.writing() as db:
                db.execute(
                    "INSERT INTO setting (name, value) VALUES (?, ?)"
                    " ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                    (_NAME + key, layout.as_json()),
                )
