"""What only the book has, and no file can tell: carried from an old book into a new one."""

from __future__ import annotations

import sqlite3
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from roastside.book.coffees import coffee_named, lot_named
from roastside.book.intake import RECORDINGS, take_in
from roastside.book.store import Book, check, take_steps
from roastside.book.versions import version_titled
from roastside.core.errors import RecordError

_COFFEES = "SELECT name, decaf, remarks FROM coffee ORDER BY id"
_LOTS = (
    "SELECT coffee.name AS coffee, lot.name, lot.supplier, lot.received_on, lot.remarks FROM lot"
    " JOIN coffee ON coffee.id = lot.coffee_id ORDER BY lot.id"
)
_NOTES = (
    "SELECT note.written_at, note.author, note.text, note.coffee_id IS NULL AS of_version,"
    " coalesce(coffee.name, '') AS coffee, coalesce(v.title, '') AS version FROM note"
    " LEFT JOIN reference_version AS v ON v.id = note.version_id"
    " LEFT JOIN reference ON reference.id = v.reference_id"
    " LEFT JOIN coffee ON coffee.id = coalesce(note.coffee_id, reference.coffee_id)"
    " ORDER BY note.id"
)
_ELSEWHERE = "SELECT file FROM roast WHERE substr(file, 1, ?) <> ? ORDER BY id"
_SETTINGS = "SELECT name, value FROM setting"

_FOLDER = f"{RECORDINGS}/"

Rows = list[dict[str, Any]]


@dataclass(slots=True)
class Belongings:
    """Coffees, lots, notes and settings as an old book had them.

    `elsewhere`: recordings that are not in the folder of recordings, as the book calls them.
    `unread`: what could not be read of it, in words.
    """

    coffees: Rows = field(default_factory=list)
    lots: Rows = field(default_factory=list)
    notes: Rows = field(default_factory=list)
    settings: Rows = field(default_factory=list)
    elsewhere: Rows = field(default_factory=list)
    unread: list[str] = field(default_factory=list)


def belongings_of(path: Path) -> Belongings:
    """What can be read of a book of this or an earlier version; of a damaged one, what is whole.

    Only its last changes may be moved into its one file. Raises BookError if it is no book, or of
    a newer version.
    """
    found = Belongings()
    with closing(sqlite3.connect(":memory:", isolation_level=None)) as copy:
        try:
            with closing(sqlite3.connect(f"{path.absolute().as_uri()}?mode=rw", uri=True)) as old:
                old.backup(copy)
            check(copy, path)
            take_steps(copy)
        except sqlite3.Error:
            found.unread.append("anything")
            return found
        copy.row_factory = sqlite3.Row
        for what, query, values, rows in (
            ("coffees", _COFFEES, (), found.coffees),
            ("lots", _LOTS, (), found.lots),
            ("notes", _NOTES, (), found.notes),
            ("settings", _SETTINGS, (), found.settings),
            ("names of files", _ELSEWHERE, (len(_FOLDER), _FOLDER), found.elsewhere),
        ):
            try:
                rows += map(dict, copy.execute(query, values).fetchall())
            except sqlite3.Error:
                found.unread.append(what)
    return found


def give_names(book: Book, found: Belongings) -> None:
    """Make its coffees and lots, and keep its settings. Raises BookError."""
    with book.writing() as db:
        for row in found.coffees:
            db.execute(
                "UPDATE coffee SET decaf = ?, remarks = ? WHERE id = ?",
                (row["decaf"], row["remarks"], coffee_named(book, row["name"])),
            )
        for row in found.lots:
            lot_id = lot_named(book, coffee_named(book, row["coffee"]), row["name"])
            db.execute(
                "UPDATE lot SET supplier = ?, received_on = ?, remarks = ? WHERE id = ?",
                (row["supplier"], row["received_on"], row["remarks"], lot_id),
            )
        db.executemany("INSERT OR REPLACE INTO setting VALUES (:name, :value)", found.settings)


def give_rest(book: Book, found: Belongings) -> int:
    """Keep its notes and recordings from elsewhere, once the versions are there.

    What was noted about a version whose file is gone is kept with its coffee; returned is how many
    notes have nothing left they are about. Raises BookError.
    """
    for row in found.elsewhere:
        with suppress(RecordError):
            take_in(book, book.located(row["file"]))
    homeless = 0
    with book.writing() as db:
        for row in found.notes:
            version = version_titled(book, row["version"]) if row["of_version"] else None
            coffee_id = coffee_named(book, row["coffee"]) if row["coffee"] else None
            if version is None and coffee_id is None:
                homeless += 1
                continue
            about = (None, version.id) if version is not None else (coffee_id, None)
            text = row["text"]
            if row["of_version"] and version is None:
                text = f"{row['version']}: {text}"
            db.execute(
                "INSERT INTO note (written_at, author, text, coffee_id, version_id)"
                " VALUES (?, ?, ?, ?, ?)",
                (row["written_at"], row["author"], text, *about),
            )
    return homeless
