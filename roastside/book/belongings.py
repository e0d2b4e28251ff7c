"""What only the book has, and no file can tell: carried from an old book into a new one."""

from __future__ import annotations

import sqlite3
from collections.abc import Mapping
from contextlib import closing, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from roastside.book.coffees import coffee_named, lot_named
from roastside.book.intake import RECORDINGS, take_in
from roastside.book.store import Book, check
from roastside.core.errors import RecordError

_FOLDER = f"{RECORDINGS}/"

# Each is asked for in the words of the first version of the book that has it so. An old book is
# read as it is: the steps to today's tables want every table to be whole.
_COFFEES = {1: "SELECT name, decaf, remarks FROM coffee ORDER BY id"}
_FORMER_NAMES = {
    2: "SELECT former_name.name, coffee.name AS coffee FROM former_name"
    " JOIN coffee ON coffee.id = former_name.coffee_id ORDER BY former_name.name"
}
_LOTS = {
    1: "SELECT coffee.name AS coffee, lot.name, lot.supplier, lot.received_on, lot.remarks FROM lot"
    " JOIN coffee ON coffee.id = lot.coffee_id ORDER BY lot.id"
}
_FORMER_LOT_NAMES = {
    2: "SELECT former_lot_name.name, lot.name AS lot, coffee.name AS coffee FROM former_lot_name"
    " JOIN lot ON lot.id = former_lot_name.lot_id JOIN coffee ON coffee.id = lot.coffee_id"
    " ORDER BY lot.id, former_lot_name.name"
}
_COFFEE_NOTES = {
    1: "SELECT note.written_at, note.author, note.text, coffee.name AS coffee FROM note"
    " LEFT JOIN coffee ON coffee.id = note.coffee_id WHERE note.coffee_id IS NOT NULL"
    " ORDER BY note.id"
}
_VERSION_NOTES = {
    1: "SELECT note.written_at, note.author, note.text, v.title AS version_title FROM note"
    " LEFT JOIN reference_version AS v ON v.id = note.version_id WHERE note.coffee_id IS NULL"
    " ORDER BY note.id",
    2: "SELECT written_at, author, text, version_title FROM note WHERE coffee_id IS NULL"
    " ORDER BY id",
}
_SETTINGS = {1: "SELECT name, value FROM setting"}
_ELSEWHERE = {
    1: f"SELECT file FROM roast WHERE substr(file, 1, {len(_FOLDER)}) <> '{_FOLDER}' ORDER BY id"
}

Rows = list[dict[str, Any]]


@dataclass(slots=True)
class Belongings:
    """Coffees, lots, their former names, notes and settings as an old book had them.

    `elsewhere`: recordings that are not in the folder of recordings, as the book calls them.
    `unread`: what could not be read of it, in words.
    """

    coffees: Rows = field(default_factory=list)
    former_names: Rows = field(default_factory=list)
    lots: Rows = field(default_factory=list)
    former_lot_names: Rows = field(default_factory=list)
    coffee_notes: Rows = field(default_factory=list)
    version_notes: Rows = field(default_factory=list)
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
            version = int(copy.execute("PRAGMA user_version").fetchone()[0])
        except sqlite3.Error:
            found.unread.append("anything")
            return found
        copy.row_factory = sqlite3.Row
        for what, queries, rows in (
            ("coffees", _COFFEES, found.coffees),
            ("former names", _FORMER_NAMES, found.former_names),
            ("lots", _LOTS, found.lots),
            ("former names", _FORMER_LOT_NAMES, found.former_lot_names),
            ("notes", _COFFEE_NOTES, found.coffee_notes),
            ("notes", _VERSION_NOTES, found.version_notes),
            ("settings", _SETTINGS, found.settings),
            ("names of files", _ELSEWHERE, found.elsewhere),
        ):
            if not _read(copy, version, queries, rows) and what not in found.unread:
                found.unread.append(what)
    return found


def _read(db: sqlite3.Connection, version: int, queries: Mapping[int, str], rows: Rows) -> bool:
    """Add what a book of this version has; whether all of it could be read."""
    since = max((first for first in queries if first <= version), default=None)
    if since is None:
        return True
    try:
        for row in db.execute(queries[since]):
            rows.append(dict(row))
    except sqlite3.Error:
        return False
    return True


def give_names(book: Book, found: Belongings) -> None:
    """Make its coffees and lots, and keep its settings. Raises BookError."""
    with book.writing() as db:
        for row in found.coffees:
            db.execute(
                "UPDATE coffee SET decaf = ?, remarks = ? WHERE id = ?",
                (row["decaf"], row["remarks"], coffee_named(book, row["name"])),
            )
        for row in found.former_names:
            db.execute(
                "INSERT OR IGNORE INTO former_name (name, coffee_id) VALUES (?, ?)",
                (row["name"], coffee_named(book, row["coffee"])),
            )
        for row in found.lots:
            lot_id = lot_named(book, coffee_named(book, row["coffee"]), row["name"])
            db.execute(
                "UPDATE lot SET supplier = ?, received_on = ?, remarks = ? WHERE id = ?",
                (row["supplier"], row["received_on"], row["remarks"], lot_id),
            )
        for row in found.former_lot_names:
            coffee_id = coffee_named(book, row["coffee"])
            db.execute(
                "INSERT OR IGNORE INTO former_lot_name (coffee_id, name, lot_id) VALUES (?, ?, ?)",
                (coffee_id, row["name"], lot_named(book, coffee_id, row["lot"])),
            )
        db.executemany("INSERT OR REPLACE INTO setting VALUES (:name, :value)", found.settings)


def give_rest(book: Book, found: Belongings) -> int:
    """Keep its notes, and the recordings from elsewhere, once the versions are there.

    Returned is how many notes have nothing left they are about. Raises BookError.
    """
    for row in found.elsewhere:
        with suppress(RecordError):
            take_in(book, book.located(row["file"]))
    homeless = 0
    with book.writing() as db:
        for row in (*found.coffee_notes, *found.version_notes):
            coffee, title = row.get("coffee"), row.get("version_title")
            if not (coffee or title):
                homeless += 1
                continue
            about = (coffee_named(book, coffee) if coffee else None, title)
            db.execute(
                "INSERT INTO note (written_at, author, text, coffee_id, version_title)"
                " VALUES (?, ?, ?, ?, ?)",
                (row["written_at"], row["author"], row["text"], *about),
            )
    return homeless
