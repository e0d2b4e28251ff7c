"""What the columns of a logger's table hold, as far as names and values tell."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from statistics import quantiles

from roastside.desk.cells import clock_s, is_value, moment, number, unit_in
from roastside.desk.layout import Layout
from roastside.desk.table import Table
from roastside.desk.words_of_marks import mark_of

_MOST = 0.9
"""The share of a column's filled cells that must be of a kind; the rest are faults."""

_LOOKED_AT = 300
"""So many cells, from all over a column, tell what it holds."""

_SOME_DAY = date(2000, 1, 1)

_TIME = re.compile(r"time|elapsed|clock|timestamp|\bsec|\bdate|zeit|uhr|heure|hora|\bt\b", re.I)
_COUNTER = re.compile(r"^(no\.?|nr\.?|#|index|record|sample|row|point|line|id)\b", re.I)
_BEAN = re.compile(r"bean|product|bohne|grain|grano|chicco", re.I)
_AIR = re.compile(r"\bair|exhaust|inlet|environment|drum|luft|aire?\b|aria", re.I)
_NO_TEMPERATURE = re.compile(
    r"%|power|heat(er)?\b|fan|gas|burner|rpm|speed|humid|weight|rate|delta|ror|set ?point|"
    r"target|press|volt|°.?/min|diff",
    re.I,
)
_COUNTED = (
    ("ns", re.compile(r"(\b|_)ns\b|nano", re.I)),
    ("us", re.compile(r"(\b|_)[uµμ]s\b|micro", re.I)),
    ("ms", re.compile(r"(\b|_)ms(ec)?\b|milli", re.I)),
    ("min", re.compile(r"(\b|_)min(ute)?s?\b", re.I)),
    ("s", re.compile(r"(\b|_)(s|secs?|seconds?)\b", re.I)),
    ("h", re.compile(r"(\b|_)(h|hours?)\b", re.I)),
)
_SINCE_1970_S = 1e8
_SINCE_1970_BELOW = (("s", 1e11), ("ms", 1e14), ("us", 1e17), ("ns", float("inf")))
_LEAST_SHEET_DAY = 20_000.0
# A roast takes more than a minute, and no log of one goes on for fourteen hours.
_LASTS_BELOW = (
    ("h", 1.0),
    ("min", 60.0),
    ("s", 5e4),
    ("ms", 5e7),
    ("us", 5e10),
    ("ns", float("inf")),
)
_EVENT = re.compile(r"event|mark|note|comment|remark|phase|stage|annotation", re.I)
_DEGREES = re.compile(r"°\s*([CF])\b", re.IGNORECASE)
_UNIT_NAME = re.compile(
    r"°\s*([CFK])\b|[\[(_ ](?:deg\.? ?)?([CFK])[\])]?$|\bdeg\.? ?([CFK])\b", re.I
)

_ROAST_MOVES = 20.0
"""A column of temperatures of a roast moves by more than this, in any unit."""


@dataclass(frozen=True, slots=True)
class Guess:
    """The likeliest layout, and the fields of it that are not certain."""

    layout: Layout
    unclear: tuple[str, ...]


def guess(table: Table) -> Guess:
    """What each column most likely holds; what is not certain is named."""
    every = max(1, len(table.rows) // _LOOKED_AT)
    columns = {name: table.cells(name)[::every] for name in table.names}
    unclear: list[str] = []
    dates = [name for name in table.names if _share(columns[name], _is_day) >= _MOST]
    time, time_unit = _time(table, columns, unclear)
    numeric = [name for name in table.names if name not in (time, *dates)]
    warm = [name for name in numeric if _is_temperature(name, columns[name], table.decimal)]
    bean, air = _probes(table, columns, warm, unclear)
    taken = {time, bean, air, *dates}
    left = (name for name in table.names if name not in taken)
    event = next((name for name in left if _is_event(name, table.cells(name))), "")
    unit = _unit(table, columns, bean, unclear)
    layout = Layout(time, bean, air, dates[0] if dates else "", event, time_unit, unit)
    return Guess(layout, tuple(unclear))


def _time(table: Table, columns: dict[str, list[str]], unclear: list[str]) -> tuple[str, str]:
    found = [
        (name, unit)
        for name in table.names
        if (unit := _time_unit(name, columns[name], table.decimal))
    ]
    if not found:
        unclear.append("time")
        return "", "s"
    name, unit = max(found, key=lambda each: _looks_like_time(*each))
    cells = table.cells(name, _LOOKED_AT)
    counts = [n for cell in cells if (n := number(cell, table.decimal)) is not None]
    may_count_rows = all(after - before == 1.0 for before, after in pairwise(counts))
    if _looks_like_time(name, unit) <= 0.0 and (len(found) > 1 or may_count_rows):
        unclear += ["time", "time_unit"]
    elif unit == "h" and not dict(_COUNTED)["h"].search(name):
        unclear.append("time_unit")  # for as little as that it may be minutes or days too
    return name, unit


def _looks_like_time(name: str, unit: str) -> float:
    named = bool(_TIME.search(name)) - bool(_COUNTER.search(name))
    return 3.0 * named + (unit in ("clock", "date"))


def _time_unit(name: str, cells: list[str], decimal: str) -> str:
    """How the column counts time; empty if it cannot be one of times."""
    if _share(cells, _has_clock) >= _MOST:
        return "date"
    if _share(cells, lambda cell: clock_s(cell) is not None) >= _MOST:
        return "clock"
    told = [n for cell in cells if (n := number(cell, decimal)) is not None]
    if len(told) < _MOST * len(cells) or len(told) < 2:
        return ""
    if told[-1] < told[0]:
        told.reverse()  # the newest row at the top
    steps = [after - before for before, after in pairwise(told)]
    if sum(step >= 0.0 for step in steps) < 0.98 * len(steps) or max(told) <= told[0]:
        return ""
    if sum(step > 0.0 for step in steps) < 0.3 * len(steps):
        return ""
    return _count_unit(name, max(told) - told[0], told[0])


def _count_unit(name: str, total: float, first: float) -> str:
    for unit, words in _COUNTED:
        if words.search(name):
            return unit
    if first > _SINCE_1970_S:
        return next(unit for unit, highest in _SINCE_1970_BELOW if first < highest)
    if first > _LEAST_SHEET_DAY and total < 1.0:
        return "day"
    return next(unit for unit, longest in _LASTS_BELOW if total < longest)


def _is_temperature(name: str, cells: list[str], decimal: str) -> bool:
    if _NO_TEMPERATURE.search(name) or _COUNTER.search(name):
        return False
    filled = [cell for cell in cells if cell]
    told = [n for cell in filled if (n := number(cell, decimal)) is not None]
    if len(told) < max(2, 0.5 * len(filled)):
        return False
    low, high = _span(told)
    return low >= -50.0 and high <= 1000.0 and high - low >= _ROAST_MOVES


def _probes(
    table: Table, columns: dict[str, list[str]], warm: list[str], unclear: list[str]
) -> tuple[str, str]:
    """The columns of bean and air temperature, the latter empty if none is sure."""
    beans = [name for name in warm if _BEAN.search(name)]
    airs = [name for name in warm if _AIR.search(name) and name not in beans]
    others = [name for name in warm if name not in (*beans, *airs)]
    if len(beans) == 1:
        return beans[0], airs[0] if airs else ""
    if not beans and len(others) == 1:
        return others[0], airs[0] if airs else ""
    unclear.append("bean")
    choice = beans or others or airs
    if not choice:
        return "", ""
    # The beans cool their probe more deeply than the air's.
    bean = max(choice, key=lambda name: _plunge(columns[name], table.decimal))
    left = airs or [name for name in others if name != bean]
    if left and not airs:
        unclear.append("air")
    return bean, left[0] if left else ""


def _plunge(cells: list[str], decimal: str) -> float:
    """How far a column falls below what it was before."""
    highest = deepest = 0.0
    for cell in cells:
        value = number(cell, decimal)
        if value is not None:
            highest = max(highest, value)
            deepest = max(deepest, highest - value)
    return deepest


def _unit(table: Table, columns: dict[str, list[str]], bean: str, unclear: list[str]) -> str:
    if not bean:
        unclear.append("unit")
        return "C"
    if found := _UNIT_NAME.search(bean):
        return next(each for each in found.groups() if each).upper()
    cells = columns[bean]
    if marked := [unit for cell in cells if (unit := unit_in(cell))]:
        return marked[0]
    above = {found[1].upper() for text in table.above for found in _DEGREES.finditer(text)}
    if len(above) == 1:
        return above.pop()
    low, high = _span([n for cell in cells if (n := number(cell, table.decimal)) is not None])
    # No roast goes beyond 300 °C, nor ends below 300 °F, nor turns around above 260 °F.
    if high <= 300.0:
        return "C"
    if low <= 260.0:
        return "F"
    unclear.append("unit")
    return "K" if high <= 560.0 else "F"


def _is_event(name: str, cells: list[str]) -> bool:
    filled = [cell for cell in cells if cell]
    if not filled or sum(map(is_value, filled)) > 0.2 * len(filled):
        return False
    return bool(_EVENT.search(name)) or any(mark_of(cell, {}) for cell in filled)


def _span(values: Sequence[float]) -> tuple[float, float]:
    """What all but the wildest fiftieth at either end lie between."""
    if len(values) < 2:
        return (values[0], values[0]) if values else (0.0, 0.0)
    cuts = quantiles(values, n=50, method="inclusive")
    return cuts[0], cuts[-1]


def _share(cells: list[str], is_one: Callable[[str], bool]) -> float:
    filled = [cell for cell in cells if cell]
    return sum(map(is_one, filled)) / len(filled) if filled else 0.0


def _is_day(cell: str) -> bool:
    found = moment(cell, _SOME_DAY)
    return found is not None and found.clock_s is None


def _has_clock(cell: str) -> bool:
    found = moment(cell, _SOME_DAY)
    return found is not None and found.clock_s is not None
