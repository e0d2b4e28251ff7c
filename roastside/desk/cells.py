"""What one cell of a logger's table says: a number, a time of the clock, or a date."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, timedelta, timezone, tzinfo

_NUMBER = re.compile(r"([+-]?(?:\d[\d.,]*|[.,]\d+)(?:e[+-]?\d+)?)\s*°?\s*([CFK])?", re.IGNORECASE)
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")
_DECIMAL_DOT = re.compile(r"[+-]?\d+\.\d+")
_GROUPED = {
    ".": re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?"),
    ",": re.compile(r"[+-]?\d{1,3}(?:\.\d{3})+(?:,\d+)?"),
}
_GROUPS_APART = re.compile(r"(?<=\d)[ '’\u00a0\u2009\u202f](?=\d{3}(?!\d))")
"""What parts thousands in some countries."""

_CLOCK = re.compile(r"(-)?(?:(\d{1,3}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d+)?)\s*([ap]\.?m\.?)?", re.I)
_DATE = re.compile(
    r"(?:(?P<year>\d{4})([-/.])(?P<month>\d{1,2})\2(?P<day>\d{1,2})"
    r"|(?P<first>\d{1,2})([-/.])(?P<second>\d{1,2})\6(?P<late_year>\d{4}|\d{2}))(?!\d)"
)
_SHORT_ISO = re.compile(r"(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)", re.ASCII)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_NAMED_MONTH = re.compile(
    rf"(\d{{1,2}})[- /.]+({'|'.join(_MONTHS)})[a-z]*[- /.,]+(\d{{4}})", re.ASCII | re.IGNORECASE
)
_ZONE = re.compile(r"\s*(?:(Z)|([+-])(\d{2}):?(\d{2}))$", re.IGNORECASE)

_SOME_DAY = date(2000, 1, 1)


@dataclass(frozen=True, slots=True)
class Moment:
    """A date, the seconds since its midnight if told, and how far its clock is from UTC if told."""

    day: date
    clock_s: float | None
    zone: tzinfo | None


def number(cell: str, decimal: str = ".") -> float | None:
    """The number in a cell, with or without °C, °F or K behind it; None if it is none."""
    found = _NUMBER.fullmatch(_GROUPS_APART.sub("", cell.strip().replace("−", "-")))
    if found is None:
        return None
    digits, group = found[1], "," if decimal == "." else "."
    if group in digits:
        if not _GROUPED[decimal].fullmatch(digits):
            return None
        digits = digits.replace(group, "")
    try:
        return float(digits.replace(decimal, "."))
    except ValueError:
        return None


def unit_in(cell: str) -> str:
    """The `C`, `F` or `K` behind a number, empty without one."""
    found = _NUMBER.fullmatch(cell.strip())
    return (found[2] or "").upper() if found else ""


def decimal_of(cells: list[str]) -> str:
    """The decimal sign that most of these cells are written with."""
    commas = sum(_DECIMAL_COMMA.fullmatch(cell.strip()) is not None for cell in cells)
    dots = sum(_DECIMAL_DOT.fullmatch(cell.strip()) is not None for cell in cells)
    return "," if commas > dots else "."


def clock_s(cell: str) -> float | None:
    """Seconds in `m:ss`, `h:mm:ss` or `h:mm:ss pm`; None if the cell is none of them."""
    found = _CLOCK.fullmatch(cell.strip())
    if found is None:
        return None
    hours, minutes = int(found[2] or 0), int(found[3])
    seconds = float(found[4].replace(",", "."))
    half = (found[5] or "").lower()[:1]
    if seconds >= 60.0 or (found[2] and minutes >= 60) or (half and not (found[2] and hours <= 12)):
        return None
    if half:
        hours = hours % 12 + (12 if half == "p" else 0)
    whole = 3600.0 * hours + 60.0 * minutes + seconds
    return -whole if found[1] else whole


def moment(cell: str, near: date) -> Moment | None:
    """The date in a cell, and its time of day if it has one; None if it is none.

    Of `03/04/2026` only custom knows which is the month: the day nearer to `near` is taken.
    """
    text = _SHORT_ISO.sub(r"\1-\2-\3T\4:\5:\6", cell.strip())
    if named := _NAMED_MONTH.match(text):
        number_of = _MONTHS.index(named[2].lower()) + 1
        text = f"{named[1]}.{number_of}.{named[3]}{text[named.end() :]}"
    found = _DATE.match(text)
    day = _day(found, near) if found else None
    if found is None or day is None:
        return None
    rest = text[found.end() :].lstrip("T ,").strip()
    if not rest:
        return Moment(day, None, None)
    zone = _ZONE.search(rest)
    at_s = clock_s(rest[: zone.start()] if zone else rest)
    return None if at_s is None else Moment(day, at_s, _offset(zone) if zone else None)


def is_value(cell: str) -> bool:
    """Whether a cell is a number, a time or a date, rather than words."""
    if number(cell) is not None or number(cell, ",") is not None:
        return True
    return clock_s(cell) is not None or moment(cell, _SOME_DAY) is not None


def _day(found: re.Match[str], near: date) -> date | None:
    if found["year"]:
        orders = [(found["year"], found["month"], found["day"])]
    else:
        year = found["late_year"] if len(found["late_year"]) == 4 else f"20{found['late_year']}"
        first, second = found["first"], found["second"]
        orders = [(year, second, first), (year, first, second)]
        if "." in found[0]:
            del orders[1:]
    days = []
    for order in orders:
        try:
            days.append(date(*map(int, order)))
        except ValueError:
            continue
    return min(days, key=lambda day: abs(day - near), default=None)


def _offset(zone: re.Match[str]) -> tzinfo:
    if zone[1]:
        return UTC
    ahead = timedelta(hours=int(zone[3]), minutes=int(zone[4]))
    return timezone(-ahead if zone[2] == "-" else ahead)
