"""A column of times as seconds, and the moment at which it begins."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, date, datetime, time, timedelta

from roastside.desk.cells import Moment, clock_s, moment, number
from roastside.desk.layout import SECONDS_OF

_DAY_S = 86400.0
_HALF_ROUND_S = 43200.0
_NEARLY_S = 600.0
_SINCE_1970_S = 1e8
"""A count of seconds beyond this, three years, is counted from 1970 and tells the date."""

_SHEET_DAYS_FROM = datetime(1899, 12, 30)
_LEAST_SHEET_DAY = 20_000.0
"""Spreadsheets count days from there; so many of them are the year 1954."""

_OF_THE_DAY_S = 3600.0
"""A clock that begins beyond an hour shows the time of day; no roast begins an hour late."""

Times = list[float | None]


def times_of(
    cells: Sequence[str], unit: str, decimal: str, near: date
) -> tuple[Times, float | None, datetime | None]:
    """Seconds for each cell, None where there is none, written as `unit` says (layout.TIME_UNITS).

    Also, if the column tells them, at what time of day it begins (seconds), and the moment
    altogether. Times counted from elsewhere than the beginning are counted from the first one.
    """
    if unit == "date":
        return _dated(cells, near)
    if unit == "clock":
        clocked = _unbroken([clock_s(cell) for cell in cells])
        first_s = _first(clocked)
        if first_s is None or first_s < _OF_THE_DAY_S:
            return clocked, None, None
        return _from(clocked, first_s), first_s % _DAY_S, None
    told = [number(cell, decimal) for cell in cells]
    counted: Times = [None if n is None else n * SECONDS_OF[unit] for n in told]
    first_s = _first(counted)
    if unit == "day" and first_s is not None and first_s > _LEAST_SHEET_DAY * _DAY_S:
        return _from(counted, first_s), None, _SHEET_DAYS_FROM + timedelta(seconds=first_s)
    if first_s is None or first_s < _SINCE_1970_S:
        return counted, None, None
    return _from(counted, first_s), None, datetime.fromtimestamp(first_s, UTC)


def spread(times: Sequence[float], longest_s: float) -> list[float]:
    """Times that stand still, as a clock of whole seconds does, spread over the step that follows.

    Not over more than `longest_s`.
    """
    smooth: list[float] = []
    at = 0
    while at < len(times):
        end = at
        while end < len(times) and times[end] == times[at]:
            end += 1
        step_s = min(times[end] - times[at], longest_s) if end < len(times) else longest_s
        count = end - at
        smooth += [times[at] + step_s * k / count for k in range(count)]
        at = end
    return smooth


def _dated(cells: Sequence[str], near: date) -> tuple[Times, float | None, datetime | None]:
    moments = [moment(cell, near) for cell in cells]
    told = [_datetime(each) if each and each.clock_s is not None else None for each in moments]
    first = next((each for each in told if each is not None), None)
    if first is None:
        return [None] * len(cells), None, None
    aware = first.tzinfo is not None
    times: Times = [
        (each - first).total_seconds() if each and (each.tzinfo is not None) == aware else None
        for each in told
    ]
    return times, None, first


def _datetime(told: Moment) -> datetime:
    midnight = datetime.combine(told.day, time(), told.zone)
    return midnight + timedelta(seconds=told.clock_s or 0.0)


def _unbroken(times: Times) -> Times:
    """Times of a clock that begins anew at midnight, or at one where it has twelve hours."""
    ahead_s = last = 0.0
    unbroken: Times = []
    for at_s in times:
        if at_s is not None:
            back_s = last - at_s
            if back_s > _HALF_ROUND_S:
                ahead_s += _DAY_S
            elif back_s > _HALF_ROUND_S - _NEARLY_S and at_s < _HALF_ROUND_S <= last:
                ahead_s += _HALF_ROUND_S
            last = at_s
        unbroken.append(None if at_s is None else at_s + ahead_s)
    return unbroken


def _first(times: Times) -> float | None:
    return next((at_s for at_s in times if at_s is not None), None)


def _from(times: Times, first_s: float) -> Times:
    return [None if at_s is None else at_s - first_s for at_s in times]
