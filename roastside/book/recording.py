"""A roast file read for the book: quickly, and with the same outcome as by record.reader."""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Mapping
from dataclasses import dataclass
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
_END_OF_PLAIN = b",,,"


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
    *lines, tail = body.split(b"\n")
    as_recorded = columns[:2] == _FIRST_COLUMNS and columns[-3:] == _LAST_COLUMNS
    if not as_recorded or max(map(len, lines), default=0) > LONGEST_LINE_BYTES:
        return [], [], reader.feed(body) + reader.finish()
    plain, others = _sorted_out(lines, len(columns) - 1)
    try:
        times_s, beans_c = _plain_numbers(plain, len(columns))
    except ValueError:
        fit: list[bytes] = []
        unfit: list[bytes] = []
        for line in plain:
            (fit if _is_plain(line) else unfit).append(line)
        # In the order of the file, as later marks replace earlier ones.
        chosen = set(others) | set(unfit)
        others = [line for line in lines if line in chosen]
        times_s, beans_c = _plain_numbers(fit, len(columns))
    if any(b'"' in line and split_cells(line.decode(errors="replace"))[1] for line in others):
        # A quoted cell goes on in the next lines, and which these are the reader must tell.
        return [], [], reader.feed(body) + reader.finish()
    return times_s, beans_c, reader.feed(b"\n".join([*others, tail])) + reader.finish()


def _sorted_out(lines: list[bytes], commas: int) -> tuple[list[bytes], list[bytes]]:
    """The lines that look like plain readings, and all others."""
    plain: list[bytes] = []
    others: list[bytes] = []
    for line in lines:
        looks_plain = line.endswith(_END_OF_PLAIN) and line.count(b",") == commas
        (plain if looks_plain and b"_" not in line else others).append(line)
    return plain, others


def _plain_numbers(plain: list[bytes], columns: int) -> tuple[list[float], list[float]]:
    """Times and bean temperatures, where there is one. Raises ValueError if one is no number."""
    if not plain:
        return [], []
    cells = b",".join(plain).split(b",")
    times, beans = cells[::columns], cells[1::columns]
    if b"" not in beans:
        return list(map(float, times)), list(map(float, beans))
    read = [(float(time), float(bean)) for time, bean in zip(times, beans, strict=True) if bean]
    return [time_s for time_s, _ in read], [bean_c for _, bean_c in read]


def _is_plain(line: bytes) -> bool:
    time, bean, _ = line.split(b",", 2)
    try:
        float(time), float(bean or b"0")
    except ValueError:
        return not bean
    return True


def _after_head(data: bytes, reader: RowReader) -> bytes:
    """What is left of a file when the reader was given its lines up to the column names."""
    end = 0
    while not reader.columns and end < len(data):
        begin, end = end, data.find(b"\n", end) + 1 or len(data)
        reader.feed(data[begin:end])
    return data[end:]
