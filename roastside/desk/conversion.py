"""From a logger's table and its layout to what a roast file says."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from statistics import median

from roastside.core.readings import (
    ABSOLUTE_ZERO_C,
    ONCE_ONLY,
    Mark,
    MarkName,
    MarkSource,
    Reading,
    plausible_c,
)
from roastside.core.text import clean
from roastside.desk.cells import moment, number
from roastside.desk.found_marks import found_marks, next_charge_s
from roastside.desk.layout import Layout
from roastside.desk.table import Table
from roastside.desk.table_error import TableError
from roastside.desk.times import Times, spread, times_of
from roastside.desk.words_of_marks import mark_of
from roastside.record.format import LONGEST_S

_LEAST_READINGS = 10
_MOSTLY = 0.9
_COUNTS_DOWN = re.compile(r"remain|left|to go|countdown|count down", re.IGNORECASE)
_SHORTEST_S, _LONGEST_S = 30.0, 86400.0
_WORST_SHARE = 0.5
"""With more than this of the bean temperatures unusable, the layout is wrong or the probe was."""


@dataclass(frozen=True, slots=True)
class Converted:
    """Readings and marks in order; when they began, if the table tells; lines left out."""

    items: tuple[Reading | Mark, ...]
    began: datetime | None
    skipped: int

    @property
    def readings(self) -> int:
        return sum(isinstance(item, Reading) for item in self.items)

    @property
    def readings_hash(self) -> str:
        """The same for the same readings, whenever they began and however they were written."""
        readings = [item for item in self.items if isinstance(item, Reading)]
        first_s = readings[0].time_s if readings else 0.0
        rows = (f"{r.time_s - first_s:.2f},{_hashed(r.bean_c)}" for r in readings)
        return hashlib.sha256("\n".join(rows).encode()).hexdigest()

    @property
    def lasted_s(self) -> float:
        """Seconds from the first item to the last."""
        times = [item.time_s for item in self.items]
        return max(times) - min(times)

    @property
    def marks(self) -> list[str]:
        """The marks that were read, comments left out."""
        return [i.mark for i in self.items if isinstance(i, Mark) and i.mark != MarkName.COMMENT]


def convert(table: Table, layout: Layout, near: date) -> Converted:
    """Read the table as the layout says; `near` is a day near to the roast's (see cells.moment).

    Raises TableError, with the line, if it is no roast.
    """
    table, (times, clock_s, began) = _forwards(table, layout, near)
    kept = [at for at, time_s in enumerate(times) if time_s is not None and abs(time_s) < LONGEST_S]
    _refuse_going_back(table, times, kept)
    if len(kept) < _LEAST_READINGS:
        raise TableError(
            f"only {len(kept)} of its {len(table.rows)} rows have a time in the column "
            f"'{layout.time}'; tell with --map which column it is"
        )
    even = spread([time_s for at in kept if (time_s := times[at]) is not None], _step_s(times))
    bean = [_degrees_c(cell, layout.unit, table.decimal) for cell in table.cells(layout.bean)]
    air_cells = table.cells(layout.air) if layout.air else [""] * len(table.rows)
    air = [_degrees_c(cell, layout.unit, table.decimal) for cell in air_cells]
    readings = [Reading(time_s, bean[at], air[at]) for at, time_s in zip(kept, even, strict=True)]
    _refuse_unusable(readings, layout)
    _refuse_no_time(readings, layout)
    words = table.cells(layout.event) if layout.event else [""] * len(table.rows)
    items = _merged(readings, [words[at] for at in kept], layout)
    _refuse_another_roast(table, readings, items, kept)
    if began is None:
        began = _began(table, layout, clock_s, near)
    return Converted(tuple(items), began, len(table.rows) - len(kept))


def _forwards(
    table: Table, layout: Layout, near: date
) -> tuple[Table, tuple[Times, float | None, datetime | None]]:
    """The table and its times (see times_of), turned round if the newest row stands at the top."""
    for _ in range(2):
        told = times_of(table.cells(layout.time), layout.time_unit, table.decimal, near)
        known = [time_s for time_s in told[0] if time_s is not None]
        steps = [after - before for before, after in pairwise(known) if after != before]
        if sum(step < 0.0 for step in steps) <= _MOSTLY * len(steps):
            break
        if _COUNTS_DOWN.search(layout.time):
            break
        table = replace(table, rows=table.rows[::-1])
    return table, told


def _merged(
    readings: Sequence[Reading], words: Sequence[str], layout: Layout
) -> list[Reading | Mark]:
    """Each reading, and behind it what is said there, unless the row above says so too.

    Charge and drop are looked for in the readings where nothing is said of them.
    """
    items: list[Reading | Mark] = []
    last = ""
    for reading, word in zip(readings, words, strict=True):
        items.append(reading)
        if word and word != last:
            items.append(_mark(reading.time_s, word, layout))
        last = word
    marks = [item for item in items if isinstance(item, Mark) and item.mark in ONCE_ONLY]
    items += found_marks(readings, marks)
    return items


def _mark(time_s: float, word: str, layout: Layout) -> Mark:
    name = mark_of(word, layout.marks)
    if name:
        note = "" if mark_of(name, {}) == mark_of(word, {}) else clean(word)
        return Mark(time_s, name, note=note, source=MarkSource.FILE)
    return Mark(time_s, MarkName.COMMENT, note=clean(word), source=MarkSource.FILE)


def _refuse_going_back(table: Table, times: Sequence[float | None], kept: Sequence[int]) -> None:
    latest = float("-inf")
    for at in kept:
        time_s = times[at]
        if time_s is not None and time_s < latest:
            raise TableError(
                f"the time goes back from {latest:g} s to {time_s:g} s; if two roasts are in one "
                "file, part it there",
                table.rows[at][0],
            )
        latest = max(latest, time_s or latest)


def _refuse_no_time(readings: Sequence[Reading], layout: Layout) -> None:
    lasted_s = readings[-1].time_s - readings[0].time_s
    if not _SHORTEST_S <= lasted_s <= _LONGEST_S:
        raise TableError(
            f"it lasts {lasted_s:,.0f} s by its column '{layout.time}', read as "
            f"{layout.time_unit}, which is no roast; tell with --map which column and time_unit "
            "it is, or part a longer log into roasts"
        )


def _refuse_another_roast(
    table: Table, readings: Sequence[Reading], items: Sequence[Reading | Mark], kept: Sequence[int]
) -> None:
    marks = {item.mark: item.time_s for item in items if isinstance(item, Mark)}
    at_s = next_charge_s(readings, marks.get(MarkName.DROP))
    if at_s is None:
        return
    at = next(k for k, reading in enumerate(readings) if reading.time_s >= at_s)
    raise TableError(
        "another roast begins here; part the file before it, a roast in each",
        table.rows[kept[at]][0],
    )


def _refuse_unusable(readings: Sequence[Reading], layout: Layout) -> None:
    usable = sum(reading.bean_c is not None for reading in readings)
    if usable < _LEAST_READINGS or usable < _WORST_SHARE * len(readings):
        raise TableError(
            f"only {usable} of its {len(readings)} rows have a bean temperature in the column "
            f"'{layout.bean}', read as {_named(layout.unit)}; tell with --map which column and "
            "unit it is"
        )


def _step_s(times: Sequence[float | None]) -> float:
    """The usual step of a column of times, those that stand still left out."""
    told = [time_s for time_s in times if time_s is not None]
    steps = [b - a for a, b in pairwise(told) if b > a]
    return median(steps) if steps else 0.0


def _degrees_c(cell: str, unit: str, decimal: str) -> float | None:
    value = number(cell, decimal)
    if value is None:
        return None
    if unit == "F":
        value = (value - 32.0) / 1.8
    elif unit == "K":
        value += ABSOLUTE_ZERO_C
    # Beyond a thousandth of a degree there are only digits of the arithmetic.
    return plausible_c(round(value, 3))


def _began(table: Table, layout: Layout, clock_s: float | None, near: date) -> datetime | None:
    """The day of the date column, or a moment told above the table, with the column's clock."""
    days = table.cells(layout.date, 1) if layout.date else []
    told = [found for text in (*days, *_parts(table.above)) if (found := moment(text, near))]
    if not told and clock_s is None:
        return None
    day = told[0].day if told else near
    at_s = clock_s if clock_s is not None else told[0].clock_s
    if at_s is None:
        return None
    return datetime.combine(day, time(), told[0].zone if told else None) + timedelta(seconds=at_s)


def _parts(texts: Sequence[str]) -> list[str]:
    """What of the lines above a table can be a moment: each from its first digit on."""
    parts = []
    for text in texts:
        at = next((k for k, sign in enumerate(text) if sign.isdecimal()), None)
        if at is not None:
            parts.append(text[at:].replace(";", " ").replace("\t", " ").rstrip(" ,"))
    return parts


def _hashed(bean_c: float | None) -> str:
    return "" if bean_c is None else f"{bean_c:.2f}"


def _named(unit: str) -> str:
    return unit if unit == "K" else f"°{unit}"
