"""Days as they are spoken of."""

from __future__ import annotations

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
