"""A roast file read for the book: quickly, and with the same outcome as by record.reader."""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from roastside.book.plain_lines import split_plain
from roastside.book.store import LATEST_NS
from roastside.core.errors import RecordError
from roastside.core.readings import HIGHEST_C, LOWEST_C, Mark
from roastside.core.smooth import Curve
from roastside.core.stages import Marks
from roastside.core.text import clean
from roastside.record import disk
from roastside.record import format as words
from roastside.record.cells import split_cells
from roastside.record.format import Row
from roastside.record.head import LONGEST_LINE_BYTES
from roastside.record.reader import RowReader, refuse_too_large

OPENING_BYTES = 4096
"""A recording is known again by these, as a recorder only ever appends."""

_FIRST_COLUMNS = (words.TIME, words.BEAN)
_LAST_COLUMNS = (words.MARK, words.VALUE, words.NOTE)


@dataclass(frozen=True, slots=True, eq=False)
class Recording:
    """What the book takes from a roast file.

    Bean readings, stream seconds and °C, shape (n,), in no certain order; `rows`: those that hold
    more than readings; `marks` as they stand in the end. `header` includes the after-roast facts.
    Hashes are sha256, hexadecimal.
    """

    path: Path
    header: Mapping[str, str]
    time_s: Curve
    bean_c: Curve
    rows: tuple[Row, ...]
    marks: Marks
    content_hash: str
    opening_hash: str
    size_bytes: int
    modified_ns: int


def read_recording(path: Path) -> Recording:
    """Read a roast file. Raises RecordError, a sentence, as `read_roast_file` does."""
    name = clean(str(path))
    try:
        # Before it is opened: a pipe would hold us up.
        if not stat.S_ISREG(path.stat().st_mode):
            raise RecordError(f"{name} is not an ordinary file; choose a roast file.")
        with path.open("rb") as file:
            found = os.fstat(file.fileno())
            refuse_too_large(name, found.st_size)
            data = file.read()
    except FileNotFoundError as error:
        raise RecordError(f"{name} is not there; check its name and folder.") from error
    except (OSError, ValueError) as error:
        raise RecordError(
            f"{name} cannot be read ({disk.reason(error)}); check the disk and that you may read it"
        ) from error
    reader = RowReader(name)
    time_s, bean_c, rows = _taken_apart(data, reader)
    measured = [(row.time_s, row.bean_c) for row in rows if row.bean_c is not None]
    if measured:
        more_s, more_c = np.array(measured).T
        time_s, bean_c = np.concatenate((time_s, more_s)), np.concatenate((bean_c, more_c))
    usable = (np.abs(time_s) <= words.LONGEST_S) & (bean_c >= LOWEST_C) & (bean_c <= HIGHEST_C)
    marks = Marks()
    for row in rows:
        for item in row.items():
            if isinstance(item, Mark):
                marks.take(item)
    return Recording(
        path=path,
        header=reader.header,
        time_s=time_s[usable],
        bean_c=bean_c[usable],
        rows=tuple(row for row in rows if row.mark),
        marks=marks,
        content_hash=hashlib.sha256(data).hexdigest(),
        opening_hash=hashlib.sha256(data[:OPENING_BYTES]).hexdigest(),
        size_bytes=found.st_size,
        modified_ns=min(found.st_mtime_ns, LATEST_NS),
    )


def _taken_apart(data: bytes, reader: RowReader) -> tuple[Curve, Curve, list[Row]]:
    """Times (s) and bean temperatures (°C) of the plain lines, and the rows of all others.

    A roast is made of little else than plain lines, and numbers need no reader to be understood.
    """
    body = _after_head(data, reader)
    columns = reader.columns
    if columns[:2] != _FIRST_COLUMNS or columns[-3:] != _LAST_COLUMNS:
        return np.empty(0), np.empty(0), reader.feed(body) + reader.finish()
    time_s, bean_c, others = split_plain(body, len(columns))
    if b'"' in others and _goes_on(others):
        # A quoted cell goes on in the next lines, and which these are the reader must tell.
        return np.empty(0), np.empty(0), reader.feed(body) + reader.finish()
    return time_s, bean_c, reader.feed(others) + reader.finish()


def _goes_on(lines: bytes) -> bool:
    """Whether a quoted cell may not end in its line."""
    return any(
        b'"' in line
        and (len(line) > LONGEST_LINE_BYTES or split_cells(line.decode(errors="replace"))[1])
        for line in lines.split(b"\n")
    )


def _after_head(data: bytes, reader: RowReader) -> bytes:
    """What is left of a file when the reader was given its lines up to the column names."""
    end = 0
    while not reader.columns and end < len(data):
        begin, end = end, data.find(b"\n", end) + 1 or len(data)
        reader.feed(data[begin:end])
    return data[end:]
