"""Times of day as the book keeps them."""

from __future__ import annotations

from datetime import UTC, datetime

_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
_WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")


def read_moment(text: str) -> datetime | None:
    """The moment an ISO 8601 text tells, with its offset from UTC; None if it tells none.

    Without an offset it is taken for the time of this machine.
    """
    try:
        moment = datetime.fromisoformat(text)
        moment = moment if moment.tzinfo else moment.astimezone()
        moment.astimezone(UTC)
    except (ValueError, OverflowError, OSError):
        return None
    return moment


def utc_text(moment: datetime) -> str:
    """A moment in UTC, so that text sorts by time."""
    return moment.astimezone(UTC).isoformat(timespec="seconds")


def day_words(moment: datetime) -> str:
    """The day as people look for it: date, weekday, month."""
    day = moment.date()
    return f"{day.isoformat()} {_WEEKDAYS[day.weekday()]} {_MONTHS[day.month - 1]}"
