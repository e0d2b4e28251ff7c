"""Taking recordings and reference files into the book."""

from __future__ import annotations

import contextlib
import os
import sqlite3
from collections.abc import Callable, Set
from dataclasses import dataclass, field
from pathlib import Path

from roastside.book.recording import Recording, read_recording
from roastside.book.roast_row import roast_row
from roastside.book.store import LATEST_NS, Book, put
from roastside.book.targets import Targets
from roastside.book.versions import link, store_version
from roastside.core.errors import RecordError
from roastside.core.text import clean
from roastside.record import disk
from roastside.record.disk import is_being_recorded
from roastside.record.lineage import KIND, REFERENCE
from roastside.record.rest import recording_of

RECORDINGS, REFERENCES = "recordings", "references"
"""The folders at home whose files the book takes in."""

Progress = Callable[[int, int], None]
"""Is told how many files are done, and of how many."""

_AT_ONCE = 200


@dataclass(slots=True)
class TakenIn:
    """What taking in everything came to.

    `refused`: every file that the book refuses, with a sentence why; `recording`: files that are
    still being recorded and are left for later; `missing`: folders that could not be listed, with
    why, so that nothing of theirs was given up.
    """

    new: int = 0
    changed: int = 0
    gone: int = 0
    unchanged: int = 0
    roasts: int = 0
    versions: int = 0
    refused: dict[str, str] = field(default_factory=dict)
    recording: list[str] = field(default_factory=list)
    missing: dict[str, str] = field(default_factory=dict)


def take_in(book: Book, path: Path) -> int:
    """Take a recording into the book, again if it has changed; the roast's id.

    Raises RecordError, a sentence, if it is no roast file or is still being recorded.
    """
    known = known_as_it_is(book, path)
    if known is not None:
        return known
    if is_being_recorded(path):
        raise RecordError(
            f"{clean(str(path))} is still being recorded; it can be taken in when the roast is over"
        )
    found = read_recording(path)
    with book.writing() as db:
        roast_id = _store(book, db, found, Targets(book))
        _give_up(db, "refused", {book.named(path)})
    return roast_id


def known_as_it_is(book: Book, path: Path) -> int | None:
    """The id of the roast of a recording that has not changed since it was taken in, or None."""
    row = _as_it_is(book, "SELECT id FROM roast", path)
    return None if row is None else int(row["id"])


def is_refused_as_it_is(book: Book, path: Path) -> bool:
    """Whether the book refused a recording that has not changed since."""
    return _as_it_is(book, "SELECT file FROM refused", path) is not None


def _as_it_is(book: Book, select: str, path: Path) -> sqlite3.Row | None:
    """The row of a file that has not changed since, if there is one."""
    try:
        about = path.stat()
    except OSError:
        return None
    row: sqlite3.Row | None = book.db.execute(
        f"{select} WHERE file = ? AND size_bytes = ? AND modified_ns = ?",
        (book.named(path), about.st_size, min(about.st_mtime_ns, LATEST_NS)),
    ).fetchone()
    return row


def take_in_all(book: Book, progress: Progress | None = None, cautious: bool = False) -> TakenIn:
    """Take in what is new or changed in the folders of references and recordings.

    What is gone from them goes from the book; of a `cautious` look a folder in which nothing is
    left counts as missing, as one that is moved or mounted just now. Some hundreds at a time are
    kept for good, so that an end in between loses little. Raises BookError if the book cannot be
    changed.
    """
    outcome = TakenIn()
    for folder, table in ((REFERENCES, "reference_version"), (RECORDINGS, "roast")):
        _take_in_folder(book, folder, table, outcome, progress, cautious)
    outcome.roasts = _rows(book.db, "roast")
    outcome.versions = _rows(book.db, "reference_version")
    outcome.refused = {
        row["file"]: row["reason"]
        for row in book.db.execute("SELECT file, reason FROM refused ORDER BY file")
    }
    return outcome


def _take_in_folder(
    book: Book,
    folder: str,
    table: str,
    outcome: TakenIn,
    progress: Progress | None,
    cautious: bool,
) -> None:
    known = _sizes(book.db, table, folder)
    try:
        there = _listed(book.home / folder, book)
    except OSError as error:
        if known or not isinstance(error, FileNotFoundError):
            outcome.missing[folder] = disk.reason(error)
        return
    if cautious and known and not there:
        outcome.missing[folder] = "nothing is in it"
        return
    refused = _sizes(book.db, "refused", folder)
    wanted = [name for name in there if there[name] not in (known.get(name), refused.get(name))]
    outcome.unchanged += len(there) - len(wanted)
    rows, taken, spoiled, targets = _rows(book.db, table), 0, 0, Targets(book)
    for first in range(0, len(wanted), _AT_ONCE):
        with book.writing() as db:
            for number, name in enumerate(wanted[first : first + _AT_ONCE], first + 1):
                if is_being_recorded(book.located(name)):
                    outcome.recording.append(name)
                elif why := _refusal(book, db, table, name, targets):
                    spoiled += _give_up(db, table, {name})
                    told = (name, *there[name], why)
                    db.execute("INSERT OR REPLACE INTO refused VALUES (?, ?, ?, ?)", told)
                else:
                    _give_up(db, "refused", {name})
                    taken += 1
                if progress is not None:
                    progress(number, len(wanted))
    new = _rows(book.db, table) - rows + spoiled
    outcome.new += new
    outcome.changed += taken - new
    outcome.gone += spoiled
    if known.keys() - there.keys() or refused.keys() - there.keys():
        with book.writing() as db:
            outcome.gone += _give_up(db, table, known.keys() - there.keys())
            _give_up(db, "refused", refused.keys() - there.keys())
            link(db)


def _refusal(book: Book, db: sqlite3.Connection, table: str, name: str, targets: Targets) -> str:
    """Take one file in; why it is refused, empty if it is not."""
    path = book.located(name)
    try:
        if table == "roast":
            _store(book, db, read_recording(path), targets)
        else:
            store_version(book, db, path)
    except RecordError as error:
        return str(error)
    return ""


def _store(book: Book, db: sqlite3.Connection, found: Recording, targets: Targets) -> int:
    if found.header.get(KIND) == REFERENCE:
        raise RecordError(
            f"{clean(str(found.path))} is a reference and no roast; "
            f"move it into the folder {REFERENCES}"
        )
    recording = recording_of(found.path, found.header)
    if recording is not None and recording.is_file():
        raise RecordError(
            f"{clean(str(found.path))} is the rest of {clean(recording.name)}, which its disk did "
            "not take; free some space and start roastside again, and it puts them together"
        )
    values = roast_row(book, found, targets)
    return put(db, "roast", values, _row_of(book, db, values["file"], found.opening_hash))


def _row_of(book: Book, db: sqlite3.Connection, name: str, opening_hash: str) -> int | None:
    """The id of the row a recording has, or had before it was moved; None for a new one."""
    row = db.execute("SELECT id FROM roast WHERE file = ?", (name,)).fetchone()
    if row is not None:
        return int(row["id"])
    for row in db.execute("SELECT id, file FROM roast WHERE opening_hash = ?", (opening_hash,)):
        if not book.located(row["file"]).exists():
            return int(row["id"])
    return None


def _listed(folder: Path, book: Book) -> dict[str, tuple[int, int]]:
    """Size (bytes) and time of change (ns) of the CSV files in a folder, by name in the book."""
    found = {}
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.name.lower().endswith(".csv") and not entry.name.startswith("."):
                with contextlib.suppress(OSError, UnicodeEncodeError):
                    if entry.is_file():
                        about = entry.stat()
                        name = book.named(folder / entry.name)
                        name.encode()  # what no text can name, the book cannot either
                        found[name] = (about.st_size, min(about.st_mtime_ns, LATEST_NS))
    return dict(sorted(found.items()))


def _sizes(db: sqlite3.Connection, table: str, folder: str) -> dict[str, tuple[int, int]]:
    """What is known of the files of a folder: size (bytes) and time of change (ns) by name."""
    rows = db.execute(
        f"SELECT file, size_bytes, modified_ns FROM {table} WHERE substr(file, 1, ?) = ?",
        (len(folder) + 1, f"{folder}/"),
    )
    return {row["file"]: (row["size_bytes"], row["modified_ns"]) for row in rows}


def _give_up(db: sqlite3.Connection, table: str, names: Set[str]) -> int:
    """Delete the rows of these files; how many there were."""
    return sum(
        db.execute(f"DELETE FROM {table} WHERE file = ?", (name,)).rowcount for name in names
    )


def _rows(db: sqlite3.Connection, table: str) -> int:
    return int(db.execute(f"SELECT count(*) FROM {table}").fetchone()[0])
