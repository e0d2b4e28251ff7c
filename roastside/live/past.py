"""Past roasts of a reference: what is learned from them, and told again with a recording."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from math import nan
from pathlib import Path
from typing import BinaryIO

import numpy as np

from roastside.core.errors import RecordError
from roastside.core.past import NOTHING_LEARNED, Habits, habits_from_words, learned
from roastside.core.readings import Mark, MarkName
from roastside.core.reference import Reference
from roastside.core.stages import Marks
from roastside.live.kept import kept_in
from roastside.record import format as words
from roastside.record.cells import Columns, split_cells
from roastside.record.format import Row
from roastside.record.head import LONGEST_LINE_BYTES, HeadReader

HABITS = "habits"
"""Header key: what past roasts of the reference told when this one began (Habits.in_words)."""

_MOST_ROASTS = 30
_MOST_LOOKED_AT = 500
_LARGEST_BYTES = 1024 * 1024
"""Ten readings a second for half an hour; what is larger is no roast to learn from. These bound
what the start of a roast has to wait for."""

_AROUND_S = 8.0
_LEAST_READINGS = 4
_MOST_READINGS = 100

_MARK_COLUMNS = (words.MARK, words.VALUE, words.NOTE)
_NO_MARK = (",,,", ",,,\r")


@dataclass(frozen=True, slots=True)
class _Past:
    """A past roast: bean temperature at first crack (°C), development (s) or None."""

    first_crack_c: float
    development_s: float | None


def habits_of(reference: Reference, recordings: Path) -> Habits:
    """What the recordings in a folder tell of the reference that their headers name.

    The newest 30 with charge and first crack marked. What cannot be read, or is laid out otherwise
    than the recorder does, is passed over; nothing is raised.
    """
    found: list[_Past] = []
    for kept in kept_in(recordings, _MOST_LOOKED_AT):
        with suppress(OSError, RecordError):
            if past := _past_roast(kept.path, reference.title):
                found.append(past)
        if len(found) == _MOST_ROASTS:
            break
    own_s = reference.marks.get(MarkName.FIRST_CRACK)
    habits = learned(
        None if own_s is None else reference.at(own_s)[0],
        [past.first_crack_c for past in found],
        reference.development_s,
        [past.development_s for past in found if past.development_s is not None],
    )
    # To the digit as the header of the new recording will tell it: a replay then knows the same.
    return habits_from_words(habits.in_words())


def recorded_habits(recording: Path, reference: Reference | None) -> Habits:
    """What was known when this recording was made; nothing if its header does not tell.

    Nor when it is now held against another reference than it was then. Nothing is raised.
    """
    header: dict[str, str] = {}
    with suppress(OSError, ValueError, RecordError):
        if recording.is_file():  # a pipe would hold us up, and be robbed of its head
            with recording.open("rb") as file:
                header = _head(file).header
    if reference is not None and reference.title != header.get("reference"):
        return NOTHING_LEARNED
    return habits_from_words(header.get(HABITS, ""))


def _head(file: BinaryIO) -> HeadReader:
    """The head of a roast file, as far as it goes. Raises RecordError if it is none."""
    head = HeadReader(file.name)
    while head.columns is None and (line := file.readline(LONGEST_LINE_BYTES + 1)):
        head.line(line.removesuffix(b"\n"))
    return head


def _past_roast(path: Path, reference: str) -> _Past | None:
    """What one recording tells. Its head is read first, and most often that is enough."""
    if not path.is_file():
        return None
    with path.open("rb") as file:
        head = _head(file)
        columns = head.columns
        if columns is None or head.header.get("reference") != reference:
            return None
        if not _as_recorded(columns) or os.fstat(file.fileno()).st_size > _LARGEST_BYTES:
            return None
        lines = file.read(_LARGEST_BYTES).decode(errors="replace").split("\n")
    at_s = _marks(lines, columns)
    charge_s, crack_s = at_s.time_s(MarkName.CHARGE), at_s.time_s(MarkName.FIRST_CRACK)
    if charge_s is None or crack_s is None or crack_s <= charge_s:
        return None
    bean_c = _bean_c(lines, columns, crack_s)
    drop_s = at_s.time_s(MarkName.DROP)
    developed_s = drop_s - crack_s if drop_s is not None and drop_s > crack_s else None
    return None if bean_c is None else _Past(bean_c, developed_s)


def _as_recorded(columns: Columns) -> bool:
    """Whether time comes first and marks last, so that a line is known by its two ends.

    Taking every line of thirty roasts apart would hold up the start of the next.
    """
    return columns.names[0] == words.TIME and columns.names[-3:] == _MARK_COLUMNS


def _marks(lines: Iterable[str], columns: Columns) -> Marks:
    marks = Marks()
    marked = (line for line in lines if not line.endswith(_NO_MARK))
    for row in _rows(marked, columns):
        for item in row.items():
            if isinstance(item, Mark):
                marks.take(item)
    return marks


def _bean_c(lines: Iterable[str], columns: Columns, at_s: float) -> float | None:
    """Bean temperature at a moment, by a straight line through the readings around it.

    The line of Theil (1950) and Sen (1968): its slope is the median of all slopes between two
    readings, so a few wild ones do not turn it. None if the moment lies in a gap.
    """
    near = (line for line in lines if abs(_time_s(line) - at_s) <= _AROUND_S)
    points = [(r.time_s - at_s, r.bean_c) for r in _rows(near, columns) if r.bean_c is not None]
    points = points[:: 1 + len(points) // _MOST_READINGS]
    if len(points) < _LEAST_READINGS:
        return None
    time_s, bean_c = np.array(points).T
    if not time_s.min() < 0.0 < time_s.max():
        return None
    first, second = np.triu_indices(len(points), 1)
    apart_s = time_s[second] - time_s[first]
    differ = apart_s != 0.0
    slope = np.median((bean_c[second] - bean_c[first])[differ] / apart_s[differ])
    return float(np.median(bean_c - slope * time_s))


def _rows(lines: Iterable[str], columns: Columns) -> Iterator[Row]:
    for line in lines:
        if len(line) > LONGEST_LINE_BYTES:
            continue
        if row := columns.row(split_cells(line.rstrip("\r"))[0]):
            yield row


def _time_s(line: str) -> float:
    try:
        return float(line.partition(",")[0])
    except ValueError:
        return nan
