"""Taking in the files of other loggers: each becomes a roast file among the recordings."""

from __future__ import annotations

import csv
import hashlib
import sqlite3
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path

from roastside.book.intake import take_in
from roastside.book.store import Book
from roastside.core.errors import BookError, RecordError, StoreError, UsageError
from roastside.core.text import clean
from roastside.desk.already_there import (
    IMPORTED_HASH,
    READINGS_HASH,
    AlreadyThere,
    opening,
)
from roastside.desk.conversion import Converted, convert
from roastside.desk.guess import guess
from roastside.desk.layout import Layout, Told, told_of
from roastside.desk.remembered import Layouts
from roastside.desk.table import Table, read_table
from roastside.desk.table_error import TableError
from roastside.desk.written import write_new
from roastside.live.home import new_recording, recordings
from roastside.record import disk
from roastside.record.format import FORMAT_LINE, head_text, recording_columns, row_text
from roastside.record.lineage import KIND, REFERENCE
from roastside.record.reader import LARGEST_BYTES, read_roast_file

_NAMES_OF_A_ROAST_FILE = ("time_s,", "bean_c")


@dataclass(frozen=True, slots=True)
class Proposal:
    """A table, the likeliest layout of it, and the fields of it that nobody has made certain."""

    path: Path
    table: Table
    layout: Layout
    unclear: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TakenIn:
    """A file that was taken in: as which recording, how many readings, and the marks in it.

    `remembered`: by which layout, if one was taken that had been told of another file.
    """

    source: Path
    recording: Path
    readings: int
    marks: tuple[str, ...]
    skipped: int
    remembered: str = ""


@dataclass(frozen=True, slots=True)
class Refused:
    """A file that was not: why, and at which line (from 1) if it is in one."""

    source: Path
    reason: str
    line: int | None = None


@dataclass
class Report:
    """What became of each file."""

    taken: list[TakenIn] = field(default_factory=list)
    refused: list[Refused] = field(default_factory=list)


Ask = Callable[[Proposal], Layout]
"""Makes a layout certain by asking somebody."""

Progress = Callable[[int, int, str], None]
"""Is told how many files are done, of how many, and which is next."""


def propose(path: Path, told: Told | None = None) -> Proposal:
    """What the columns of a file seem to be. `told` (see layout.parse_map) is certain.

    Raises TableError if it holds no table, UsageError if what was told does not fit.
    """
    return _proposed(path, read_table(_bytes_of(path)), told or {})


def import_files(
    book: Book,
    paths: Sequence[Path],
    told: Told | None = None,
    ask: Ask | None = None,
    progress: Progress | None = None,
    began: datetime | None = None,
) -> Report:
    """Take the files in, one after another; those that cannot be are told of in the report.

    A layout that is unclear is `ask`ed for once for all tables with the same columns, now and
    later; without `ask` such files are refused. `began`: when the roasts began, if the files shall
    not tell. Raises StoreError if recordings cannot be stored.
    """
    intake = _Intake(book, told or {}, ask, began)
    report = Report()
    for done, path in enumerate(paths):
        if progress:
            progress(done, len(paths), path.name)
        try:
            report.taken.append(intake.take(path))
        except TableError as refusal:
            report.refused.append(Refused(path, str(refusal), refusal.line))
        except (RecordError, BookError, UsageError, StoreError) as error:
            report.refused.append(Refused(path, str(error)))
        except (ValueError, OverflowError, OSError, csv.Error, sqlite3.Error) as error:
            # Whatever one odd table brings, the others are taken in and the report is made.
            odd = f"its cells make no sense ({clean(str(error), 120)}); look at it in a spreadsheet"
            report.refused.append(Refused(path, odd))
    if progress:
        progress(len(paths), len(paths), "")
    return report


class _Intake:
    def __init__(self, book: Book, told: Told, ask: Ask | None, began: datetime | None) -> None:
        self._book = book
        self._told = told
        self._ask = ask
        self._began = began
        self._layouts = Layouts(book)
        self._there = AlreadyThere(recordings())

    def take(self, path: Path) -> TakenIn:
        data = _bytes_of(path)
        digest = hashlib.sha256(data).hexdigest()
        with self._there.turn():
            self._refuse_again("it", digest, opening(data))
        if _is_roast_file(data):
            taken = self._take_roast_file(path, data, digest)
        else:
            taken = self._take_table(path, data, digest)
        if self._book.writable:
            # A book that is busy just now finds the recording when roastside is next begun.
            with suppress(BookError):
                take_in(self._book, taken.recording)
        return taken

    def _refuse_again(self, what: str, *hashes: str) -> None:
        if there := self._there.name(*hashes):
            raise TableError(
                f"{what} is there already, as {there}; take that away to import it anew"
            )

    def _stored(self, began: datetime, data: bytes, what: str, *hashes: str) -> Path:
        """Store it, unless somebody did since we looked."""
        with self._there.turn():
            self._refuse_again(what, *hashes)
            return write_new(data, lambda: new_recording(began))

    def _take_roast_file(self, path: Path, data: bytes, digest: str) -> TakenIn:
        found = read_roast_file(path)
        if found.header.get(KIND) == REFERENCE:
            raise TableError(
                "it is a reference, not a roast; copy it into the folder references beside the "
                "recordings"
            )
        began = _told_moment(found.header) or _written_at(path)
        recording = self._stored(began, data, "it", digest, opening(data))
        readings = sum(row.bean_c is not None for row in found.rows)
        return TakenIn(path, recording, readings, tuple(found.marks()), found.skipped)

    def _take_table(self, path: Path, data: bytes, digest: str) -> TakenIn:
        table = read_table(data)
        layout, is_remembered = self._layout(path, table)
        written_at = _written_at(path)
        converted = convert(table, layout, (self._began or written_at).date())
        began = self._began or converted.began
        began = began or written_at - timedelta(seconds=converted.lasted_s)
        began = began if began.tzinfo else began.astimezone()
        header = {
            "title": clean(path.stem),
            "started_at": began.isoformat(timespec="seconds"),
            "imported_from": clean(path.name),
            IMPORTED_HASH: digest,
            READINGS_HASH: converted.readings_hash,
        }
        recording = self._stored(
            began,
            _roast_text(header, converted).encode(),
            "the same roast, written in another way,",
            converted.readings_hash,
        )
        return TakenIn(
            path,
            recording,
            converted.readings,
            tuple(converted.marks),
            converted.skipped,
            layout.as_map() if is_remembered else "",
        )

    def _layout(self, path: Path, table: Table) -> tuple[Layout, bool]:
        """How to read it, and whether that was told of another file."""
        kept = self._layouts.of(table)
        if kept is not None and not self._told:
            return kept, True
        proposal = _proposed(path, table, self._told, kept)
        layout = proposal.layout
        if proposal.unclear:
            if self._ask is None:
                raise TableError(
                    f"it is not clear which column or unit is the {_spoken(proposal.unclear)}; "
                    f"tell with --map, such as --map '{layout.as_map()}'"
                )
            try:
                layout = self._ask(proposal)
            except EOFError:
                raise TableError("nobody answered which columns it has") from None
        if not layout.fits(table.names):
            raise TableError("nobody told which columns are its time and bean temperature")
        if proposal.unclear or self._told:
            self._layouts.keep(table, layout)
        return layout, False


def _proposed(path: Path, table: Table, told: Told, kept: Layout | None = None) -> Proposal:
    if kept is not None:
        return Proposal(path, table, told_of(table.names, kept, told), ())
    found = guess(table)
    layout, settled = found.layout, set(told)
    if "bean" in told:
        # Of two columns nobody could tell apart, the other one is then the air's.
        settled.add("air")
        if told_of(table.names, replace(layout, air=""), told).bean == layout.air:
            layout = replace(layout, air=layout.bean)
    unclear = tuple(name for name in found.unclear if name not in settled)
    return Proposal(path, table, told_of(table.names, layout, told), unclear)


def _roast_text(header: dict[str, str], converted: Converted) -> str:
    columns = recording_columns()
    return head_text(header, columns) + "".join(row_text(i, columns) for i in converted.items)


def _bytes_of(path: Path) -> bytes:
    try:
        if not path.is_file():
            raise TableError("it is not there" if not path.exists() else "it is no ordinary file")
        if path.stat().st_size > LARGEST_BYTES:
            raise TableError(f"it is larger than {LARGEST_BYTES // 1024**2} MiB, so it is no roast")
        return path.read_bytes()
    except (OSError, ValueError) as error:
        raise TableError(f"it cannot be read ({disk.reason(error)})") from error


def _written_at(path: Path) -> datetime:
    return datetime.fromtimestamp(path.stat().st_mtime)


def _told_moment(header: object) -> datetime | None:
    with suppress(ValueError, TypeError, KeyError, OverflowError):
        return datetime.fromisoformat(header["started_at"]).astimezone()  # type: ignore[index]
    return None


def _is_roast_file(data: bytes) -> bool:
    """Whether it says so, or has no header, as is allowed, but the columns of one."""
    head = data.removeprefix(b"\xef\xbb\xbf")
    if head.startswith(FORMAT_LINE.encode()):
        return True
    names = head[:200].partition(b"\n")[0].decode(errors="replace")
    return names.startswith(_NAMES_OF_A_ROAST_FILE[0]) and _NAMES_OF_A_ROAST_FILE[1] in names


def _spoken(names: Sequence[str]) -> str:
    return ", ".join(name.replace("_", " ") for name in names)
