"""References and their versions: taken in from their files, listed, and which is current."""

from __future__ import annotations

import hashlib
import sqlite3
from datetime import datetime
from pathlib import Path

from roastside.book.coffees import coffee_named
from roastside.book.filters import Condition
from roastside.book.moments import read_moment, utc_text
from roastside.book.roasts import roasts
from roastside.book.rows import Roast, Version, typed
from roastside.book.store import LATEST_NS, Book, put
from roastside.core.errors import BookError, RecordError, UsageError
from roastside.core.text import clean
from roastside.record.facts import append_fact
from roastside.record.reference_file import ReferenceFile, read_reference_file

CURRENT_SINCE = "current_since"
"""The fact, in a version's file, that its coffee is roasted to it from then on."""

_SELECT = (
    "SELECT v.*, reference.name AS name, reference.coffee_id AS coffee_id,"
    " coalesce(coffee.name, '') AS coffee,"
    " coalesce(coffee.current_version_id = v.id, 0) AS is_current"
    " FROM reference_version AS v JOIN reference ON reference.id = v.reference_id"
    " LEFT JOIN coffee ON coffee.id = reference.coffee_id"
)


def versions(book: Book, reference_id: int | None = None) -> list[Version]:
    """The versions of a reference, or of all by name, the first version first."""
    rows = book.db.execute(
        f"{_SELECT} WHERE ? IS NULL OR v.reference_id = ? ORDER BY reference.name, v.version",
        (reference_id, reference_id),
    )
    return [typed(Version, row) for row in rows]


def version_of(book: Book, version_id: int) -> Version:
    """The version with this id. Raises BookError if there is none."""
    found = _version(book, "v.id = ?", version_id)
    if found is None:
        raise BookError("that reference is no longer in the book; look at the list again")
    return found


def version_titled(book: Book, title: str) -> Version | None:
    """The version that a roast's header calls `title`."""
    return _version(book, "v.title = ?", clean(title))


def current_version(book: Book, coffee_id: int) -> Version | None:
    """The reference a coffee is roasted to, if one was chosen."""
    return _version(book, "coffee.current_version_id = v.id AND coffee.id = ?", coffee_id)


def lineage(book: Book, version_id: int) -> list[Version]:
    """The version with all it was made from, the oldest first. Raises BookError if not there."""
    found = [version_of(book, version_id)]
    # Files can be written by hand, so that two may call each other parent.
    seen = {version_id}
    while (parent := found[-1].parent_id) is not None and parent not in seen:
        seen.add(parent)
        found.append(version_of(book, parent))
    return found[::-1]


def roasts_to(book: Book, version_id: int) -> list[Roast]:
    """The roasts that were held against a version, the newest first."""
    return roasts(book, Condition("roast.version_id = ?", (version_id,)))


def make_current(book: Book, version_id: int, at: datetime) -> None:
    """Make a version the one its coffee is roasted to from `at` on: told in its file, then here.

    Raises BookError if it is of no coffee, and what `append_fact` and `take_in_version` do.
    """
    version = version_of(book, version_id)
    if version.coffee_id is None:
        raise BookError(f"{version.title} is of no coffee, so it cannot be made its current one")
    if not book.writable:
        raise BookError(f"{version.title} cannot be made current, as {book.why_not}")
    path = book.located(version.file)
    append_fact(path, CURRENT_SINCE, at.astimezone().isoformat(timespec="seconds"))
    take_in_version(book, path)


def take_in_version(book: Book, path: Path) -> int:
    """Take the file of a version into the book, again if it was there; the version's id.

    Raises RecordError, a sentence, if it is none, or another file has its title.
    """
    with book.writing() as db:
        return store_version(book, db, path)


def store_version(book: Book, db: sqlite3.Connection, path: Path) -> int:
    """The same, to be called inside `writing`."""
    file, content, about = _read(path), path.read_bytes(), path.stat()
    lineage, title = file.lineage, file.reference.title
    row_id = _row_to_take(book, db, path, file)
    _take_notes_along(db, book.named(path), title)
    reference_id = _reference_named(db, lineage.name)
    since, made_at = (
        read_moment(text) for text in (file.header.get(CURRENT_SINCE, ""), lineage.made_at)
    )
    values = {
        "reference_id": reference_id,
        "version": lineage.version,
        "title": title,
        "file": book.named(path),
        "content_hash": hashlib.sha256(content).hexdigest(),
        "size_bytes": about.st_size,
        "modified_ns": min(about.st_mtime_ns, LATEST_NS),
        "origin": lineage.origin,
        "parent_title": lineage.parent,
        "current_since": since and utc_text(since),
        "made_at": made_at and made_at.isoformat(timespec="seconds"),
        "author": lineage.author,
        "change": lineage.change,
        "reason": lineage.reason,
    }
    version_id = put(db, "reference_version", values, row_id)
    db.execute("DELETE FROM cue WHERE version_id = ?", (version_id,))
    db.executemany(
        "INSERT INTO cue (version_id, ordinal, elapsed_s, bean_c, words) VALUES (?, ?, ?, ?, ?)",
        [
            (version_id, ordinal, cue.elapsed_s, cue.bean_c, cue.words)
            for ordinal, cue in enumerate(file.reference.cues, 1)
        ],
    )
    db.execute("DELETE FROM version_source WHERE version_id = ?", (version_id,))
    db.executemany(
        "INSERT INTO version_source (version_id, file) VALUES (?, ?)",
        [(version_id, source) for source in dict.fromkeys(lineage.made_from)],
    )
    if lineage.coffee:
        # The newest version tells what coffee the reference is for.
        db.execute(
            "UPDATE reference SET coffee_id = ? WHERE id = ? AND ? >="
            " (SELECT max(version) FROM reference_version WHERE reference_id = ?)",
            (coffee_named(book, lineage.coffee), reference_id, lineage.version, reference_id),
        )
    link(db)
    return version_id


def link(db: sqlite3.Connection) -> None:
    """See to it that what versions say of each other holds. To be called inside `writing`.

    To be done whenever one came or went: its children know it, each coffee has the one that became
    current last, and the roasts that name it are read again.
    """
    db.execute(
        "UPDATE reference_version SET parent_id = (SELECT parent.id FROM reference_version AS"
        " parent WHERE parent.title = reference_version.parent_title)"
    )
    db.execute("DELETE FROM reference WHERE id NOT IN (SELECT reference_id FROM reference_version)")
    db.execute(
        "UPDATE coffee SET current_version_id = (SELECT v.id FROM reference_version AS v"
        " JOIN reference ON reference.id = v.reference_id WHERE reference.coffee_id = coffee.id"
        " AND v.current_since IS NOT NULL ORDER BY v.current_since DESC, v.version DESC LIMIT 1)"
    )
    db.execute(
        "UPDATE roast SET size_bytes = -1 WHERE version_id IS NOT"
        " (SELECT v.id FROM reference_version AS v WHERE v.title = roast.reference_title)"
        " OR (version_id IS NULL AND worst_departure_c IS NOT NULL)"
    )


def _read(path: Path) -> ReferenceFile:
    try:
        return read_reference_file(path)
    except UsageError as error:
        raise RecordError(f"{clean(str(path))}: {error}") from error


def _reference_named(db: sqlite3.Connection, name: str) -> int:
    row = db.execute("SELECT id FROM reference WHERE name = ?", (name,)).fetchone()
    return int(row[0]) if row else put(db, "reference", {"name": name}, None)


def _row_to_take(book: Book, db: sqlite3.Connection, path: Path, file: ReferenceFile) -> int | None:
    """The id of the row the file has, or had under another name; None for a new one.

    Raises RecordError if another file that is still there has its title or number.
    """
    name, title, lineage, row_id = book.named(path), file.reference.title, file.lineage, None
    for row in db.execute(
        "SELECT id, file FROM reference_version WHERE file = ? OR title = ? OR version = ?"
        " AND reference_id = (SELECT id FROM reference WHERE name = ?) ORDER BY file <> ?",
        (name, title, lineage.version, lineage.name, name),
    ).fetchall():
        if row["file"] != name and book.located(row["file"]).exists():
            raise RecordError(
                f"{clean(str(path))}: {title} is already in {row['file']}; "
                "take one of the two files away"
            )
        if row_id is None:
            row_id = int(row["id"])
        else:
            db.execute("DELETE FROM reference_version WHERE id = ?", (row["id"],))
    return row_id


def _take_notes_along(db: sqlite3.Connection, name: str, title: str) -> None:
    """Have what was written about a version stay with its file, if that got another title."""
    db.execute(
        "UPDATE note SET version_title = ? WHERE version_title ="
        " (SELECT title FROM reference_version WHERE file = ? AND title <> ?)",
        (title, name, title),
    )


def _version(book: Book, where: str, value: str | int) -> Version | None:
    row = book.db.execute(f"{_SELECT} WHERE {where}", (value,)).fetchone()
    return None if row is None else typed(Version, row)
