"""Reading a roast file, whole or as its bytes come in, however it was cut or spoiled."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from roastside.core.errors import RecordError
from roastside.core.readings import ONCE_ONLY, Item, Mark, MarkName
from roastside.core.stages import Marks
from roastside.core.text import clean
from roastside.record import format as words
from roastside.record.cells import Columns, split_cells
from roastside.record.format import Row
from roastside.record.head import LONGEST_LINE_BYTES, HeadReader

LARGEST_BYTES = 50 * 1024 * 1024
"""A roast is under 10 MB; anything this large is something else."""

_PIECE_BYTES = 256 * 1024
_LONGEST_CELL_LINES = 20
"""A quoted cell may run over several lines (RFC 4180); beyond this a quote was left open."""


class RowReader:
    """Bytes of a roast file in, rows out; the bytes may be cut anywhere.

    `header` holds the header lines, and every after-roast fact as soon as its row came.
    `columns` is empty until the column names came. `skipped` counts lines that are no row:
    without a usable time, overlong, or torn and closed later. `torn` tells, after `finish`, that
    a torn last line was ignored.

    Comment lines below the column names are ignored. All text is clean (core.text). In rows a
    spoiled character becomes `�`; above them it refuses the file.
    """

    def __init__(self, name: str = "The roast file") -> None:
        """`name` is what messages call the file."""
        self.skipped = 0
        self.torn = False
        self._name = clean(name)
        self._head = HeadReader(name)
        self._size = 0
        self._tail = b""
        self._open_lines: list[str] = []

    @property
    def header(self) -> dict[str, str]:
        return self._head.header

    @property
    def columns(self) -> tuple[str, ...]:
        return self._head.columns.names if self._head.columns else ()

    def feed(self, data: bytes) -> list[Row]:
        """The rows that `data` completes.

        Raises RecordError as soon as it is plain that this is no roast file.
        """
        self._size += len(data)
        refuse_too_large(self._name, self._size)
        *lines, tail = (self._tail + data).split(b"\n")
        # One byte too many is kept of an overlong line, so that its length still tells.
        self._tail = tail[: LONGEST_LINE_BYTES + 1]
        rows: list[Row] = []
        for line in lines:
            if self._head.columns is None:
                self._head.line(line)
            else:
                self._take_line(line, self._head.columns, rows)
        if self._head.columns is None:
            self._head.check_unfinished(self._tail)
        return rows

    def finish(self) -> list[Row]:
        """The rows held back until the end of the file was known.

        A last line without its newline counts only if nothing but the end of its note can be
        missing, and it is no comment; otherwise it is torn and ignored.

        Raises RecordError if no column names came.
        """
        columns = self._head.columns
        if columns is None:
            self._head.refuse_end(self._size)
        rows: list[Row] = []
        tail, self._tail = self._tail, b""
        if tail:
            cells, _ = split_cells(_text(tail))
            if not self._open_lines and columns.survives_a_cut(cells):
                self._take_line(tail, columns, rows)
            else:
                self.torn = True
        self._close_open_lines(columns, rows)
        return rows

    def _take_line(self, data: bytes, columns: Columns, rows: list[Row]) -> None:
        line = _text(data)
        if len(data) > LONGEST_LINE_BYTES or line.endswith(words.TORN):
            self._close_open_lines(columns, rows)
            self.skipped += 1
            return
        if not self._open_lines and (not line or line.startswith("#")):
            return
        cells, is_open = split_cells(line)
        if self._open_lines:
            if self._continues(line, cells, columns):
                self._open_lines.append(line)
                if not split_cells(" ".join(self._open_lines))[1]:
                    self._close_open_lines(columns, rows)
                return
            self._close_open_lines(columns, rows)
        if is_open:
            self._open_lines = [line]
        else:
            self._take_cells(cells, columns, rows)

    def _continues(self, line: str, cells: list[str], columns: Columns) -> bool:
        """Whether a line belongs to the quoted cell left open above it.

        A full row does not: a quote opened by mistake must not swallow readings.
        """
        length = sum(len(text) for text in self._open_lines) + len(line)
        has_room = len(self._open_lines) < _LONGEST_CELL_LINES and length < LONGEST_LINE_BYTES
        return has_room and not columns.stands_alone(cells)

    def _close_open_lines(self, columns: Columns, rows: list[Row]) -> None:
        if self._open_lines:
            cells, _ = split_cells(" ".join(self._open_lines))
            self._open_lines = []
            self._take_cells(cells, columns, rows)

    def _take_cells(self, cells: list[str], columns: Columns, rows: list[Row]) -> None:
        row = columns.row(cells)
        if row is None:
            self.skipped += any(cell.strip() for cell in cells)
            return
        rows.append(row)
        if row.mark == MarkName.COMMENT:
            for text in (row.value, row.note):
                if fact := words.parse_fact(text):
                    self.header[fact[0]] = fact[1]


@dataclass(frozen=True, slots=True)
class RoastFile:
    """A roast file as it was found.

    `header` includes the after-roast facts. `skipped` counts lines that are no row; `torn` tells
    that a torn last line was ignored.
    """

    path: Path
    header: Mapping[str, str]
    rows: tuple[Row, ...]
    columns: tuple[str, ...]
    skipped: int = 0
    torn: bool = False

    def items(self) -> Iterator[Item]:
        """Readings and marks in the order of the file."""
        for row in self.rows:
            yield from row.items()

    def marks(self) -> dict[str, float]:
        """The once-only marks that stand in the end, `time_s` by name, in a roast's order."""
        marks = Marks()
        for item in self.items():
            if isinstance(item, Mark):
                marks.take(item)
        found = ((name, marks.time_s(MarkName(name))) for name in ONCE_ONLY)
        return {name: time_s for name, time_s in found if time_s is not None}

    @property
    def charge_s(self) -> float | None:
        """`time_s` of the charge; elapsed time counts from here. None without a charge."""
        return self.marks().get(MarkName.CHARGE)

    @property
    def title(self) -> str:
        """What the roast is called; the name of the file if nothing better is known."""
        return self.header.get("title") or clean(self.path.stem)


def read_roast_file(path: str | os.PathLike[str]) -> RoastFile:
    """The roast file at `path`, with every whole row in it.

    Raises RecordError, one sentence with file and reason, if it cannot be read or is none.
    """
    name = clean(os.fspath(path))
    reader = RowReader(name)
    rows: list[Row] = []
    try:
        found = Path(path).stat()
        if stat.S_ISDIR(found.st_mode):
            raise RecordError(f"{name} is a folder; choose a roast file in it.")
        if not stat.S_ISREG(found.st_mode):
            raise RecordError(f"{name} is not an ordinary file; choose a roast file.")
        refuse_too_large(name, found.st_size)
        with Path(path).open("rb") as file:
            while data := file.read(_PIECE_BYTES):
                rows += reader.feed(data)
    except FileNotFoundError as error:
        raise RecordError(f"{name} is not there; check its name and folder.") from error
    except PermissionError as error:
        raise RecordError(f"{name} may not be read by you; change its permissions.") from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RecordError(f"{name} cannot be read ({reason}); check the disk and name.") from error
    rows += reader.finish()
    return RoastFile(
        path=Path(path),
        header=reader.header,
        rows=tuple(rows),
        columns=reader.columns,
        skipped=reader.skipped,
        torn=reader.torn,
    )


def refuse_too_large(name: str, size_bytes: int) -> None:
    """Raises RecordError if a file of this size can not be a roast file."""
    if size_bytes > LARGEST_BYTES:
        raise RecordError(
            f"{name}: the file is larger than {LARGEST_BYTES // 1024**2} MiB, so this is not a "
            "roast file; choose a recording, which is under 10 MB."
        )


def _text(data: bytes) -> str:
    # A spoiled character must not cost the temperatures beside it.
    return data.decode(errors="replace").rstrip("\r")
