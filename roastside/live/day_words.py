"""Days as they are spoken of."""

from __future__ import annotations

import re
from datetime import date

# Not of the system's language, as the sentences around them are not either.
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

_LEAST_OF_MONTH = 3
_NUMBERS = re.compile(r"(\d{4})-(\d\d?)-(\d\d?)")
_WORDS = re.compile(r"(\d\d?)\.? ([^\W\d_]+)\.? (\d{4})")


def read_day(text: str) -> date | None:
    """The day of `2026-03-02` or `2 March 2026` (`2 Mar 2026`), None if it is none."""
    if numbers := _NUMBERS.fullmatch(text):
        year, month, day = map(int, numbers.groups())
    elif words := _WORDS.fullmatch(text):
        day, month, year = int(words[1]), _month(words[2]), int(words[3])
    else:
        return None
    try:
        return date(year, month, day)
    except ValueError:
        return None


def day_words(moment: str | None) -> str:
    """`2 March 2026`, from an ISO 8601 date or time; what is none is given as it is."""
    day = _day(moment)
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}" if day else moment or ""


def days_words(first: str, last: str) -> str:
    """`2 to 9 March 2026`: from the first day to the last, with nothing said twice."""
    a, b = _day(first), _day(last)
    if a is None or b is None or a == b:
        return day_words(last)
    if a.year != b.year:
        return f"{day_words(first)} to {day_words(last)}"
    month = "" if a.month == b.month else f" {_MONTHS[a.month - 1]}"
    return f"{a.day}{month} to {day_words(last)}"


def _day(moment: str | None) -> date | None:
    try:
        return date.fromisoformat((moment or "")[:10])
    except ValueError:
        return None


def _month(name: str) -> int:
    """The number of a month that is called so, or so for short; 0 if there is none."""
    key = name.casefold()
    if len(key) < _LEAST_OF_MONTH:
        return 0
    found = (n for n, month in enumerate(_MONTHS, 1) if month.casefold().startswith(key))
    return next(found, 0)
