"""Layouts that were told once, kept in the book for the next files like those."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.book.store import Book
from roastside.desk.guess import guess
from roastside.desk.layout import Layout
from roastside.desk.table import Table

_NAME = "import layout "
_UNSURE = "?"


@dataclass(frozen=True, slots=True)
class _Look:
    """How a table seems to be written: unit of its time and of its degrees, if that is sure."""

    time_unit: str
    unit: str

    @classmethod
    def of(cls, table: Table) -> _Look:
        found = guess(table)
        unsure = set(found.unclear)
        return cls(
            _UNSURE if "time_unit" in unsure else found.layout.time_unit,
            _UNSURE if "unit" in unsure else found.layout.unit,
        )

    def allows(self, layout: Layout) -> bool:
        """Whether a table of this look may be read so."""
        return self.time_unit in (_UNSURE, layout.time_unit) and self.unit in (_UNSURE, layout.unit)


class Layouts:
    """By the names of a table's columns and how it seems to be written.

    The same columns in other degrees, or with the time written otherwise, are another layout.
    Where the book cannot be written, and for columns without names, they last for this run only.
    """

    def __init__(self, book: Book) -> None:
        self._book = book
        self._told: dict[str, Layout] = {}

    def of(self, table: Table) -> Layout | None:
        """The layout told for such a table; None if there is none."""
        look = _Look.of(table)
        named = f"{_NAME}{table.fingerprint}"
        rows = self._book.db.execute(
            "SELECT name, value FROM setting WHERE substr(name, 1, ?) = ? ORDER BY name",
            (len(named), named),
        )
        kept = {row["name"]: Layout.from_json(row["value"]) for row in rows}
        kept |= {name: told for name, told in self._told.items() if name.startswith(named)}
        fit = {name: told for name, told in kept.items() if told and told.fits(table.names)}
        if exact := fit.get(_key(table, look)):
            return exact
        return next((told for told in fit.values() if look.allows(told)), None)

    def keep(self, table: Table, layout: Layout) -> None:
        """Remember it. Raises BookError if a book that can be written does not take it."""
        key = _key(table, _Look.of(table))
        if self._told.get(key) == layout:
            return
        self._told[key] = layout
        if self._book.writable and table.is_named:
            with self._book.writing() as db:
                db.execute(
                    "INSERT INTO setting (name, value) VALUES (?, ?)"
                    " ON CONFLICT (name) DO UPDATE SET value = excluded.value",
                    (key, layout.as_json()),
                )


def _key(table: Table, look: _Look) -> str:
    return f"{_NAME}{table.fingerprint} {look.time_unit} {look.unit}"
