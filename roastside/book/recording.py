"""A roast file read for the book: quickly, and with the same outcome as by record.reader."""

from __future__ import annotations

import hashlib
import os
import re
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

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
    times_s, beans_c, rows = _taken_apart(data, reader)
    for row in rows:
        if row.bean_c is not None:
            times_s.append(row.time_s)
            beans_c.append(row.bean_c)
    time_s, bean_c = np.array(times_s), np.array(beans_c)
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


def _taken_apart(data: bytes, reader: RowReader) -> tuple[list[float], list[float], list[Row]]:
    """Times (s) and bean temperatures (°C) of the plain lines, and the rows of all others.

    A plain line is a reading as the recorder writes it. A roast is made of little else, and
    numbers need no reader to be understood.
    """
    body = _after_head(data, reader)
    columns = reader.columns
    if columns[:2] != _FIRST_COLUMNS or columns[-3:] != _LAST_COLUMNS:
        return [], [], reader.feed(body) + reader.finish()
    parts = _plain_line(len(columns)).split(body)
    times, beans, others = parts[1::3], parts[2::3], b"".join(parts[::3])
    if b'"' in others and _goes_on(others):
        # A quoted cell goes on in the next lines, and which these are the reader must tell.
        return [], [], reader.feed(body) + reader.finish()
    if b"" in beans:
        kept = [(time, bean) for time, bean in zip(times, beans, strict=True) if bean]
        times, beans = [time for time, _ in kept], [bean for _, bean in kept]
    rows = reader.feed(others) + reader.finish()
    return list(map(float, times)), list(map(float, beans)), rows


@cache
def _plain_line(columns: int) -> re.Pattern[bytes]:
    """A line of a time and perhaps a bean temperature, with neither mark nor words."""
    further = rb'(?:,[^,\n"]{0,24})' + b"{%d}" % (columns - len(_FIRST_COLUMNS + _LAST_COLUMNS))
    number = rb"-?[0-9]{1,9}(?:\.[0-9]{1,9})?"
    return re.compile(b"(?m)^(%b),((?:%b)?)%b,,,\n" % (number, number, further))


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
