"""One field of a line: a number with or without a unit, or a word for "no reading"."""

from __future__ import annotations

import re
from dataclasses import dataclass

from roastside.core.readings import ABSOLUTE_ZERO_C, plausible_c

UNITS = ("C", "F", "K")

# [0-9] and not \d: a digit of another script is no thermometer's.
_NUMBER = re.compile(
    r"(?P<number>[+-]?(?:[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)(?:e[+-]?[0-9]{1,3})?)"
    r" ?[°º]? ?(?P<unit>[CFK]?)",
    re.IGNORECASE,
)
_NO_READING = re.compile(
    r"""
    | [+-]?(?:nan|inf|infinity)
    | err(?:or)?[:#]?[0-9]* | fault[:#]?[0-9]* | fail(?:ed)?
    | open | short(?:ed)? | disconnected | unplugged | lost | invalid
    | none | null | missing | n[/.]?[ac]\.? | o\.?c\.? | o\.?l\.?
    | -{2,8} | -{1,4}[.,:]-{1,4}
    """,
    re.IGNORECASE | re.VERBOSE,
)
_DATE = r"[0-9]{1,4}([-/])[0-9]{1,2}\1[0-9]{1,4}"
_TIME = r"[0-9]{1,2}:[0-9]{2}(?::[0-9]{2}(?:[.,][0-9]+)?)?(?:Z|[+-][0-9]{2}:?[0-9]{2})?"
_CLOCK = re.compile(rf"{_DATE}(?:[T ]{_TIME})?|{_TIME}")


@dataclass(frozen=True, slots=True)
class Value:
    """A field that speaks of a measurement. `number` None: there is none, and it says so.

    unit: what stands behind the number. column_unit: what stands in the field's name.
    """

    number: float | None
    unit: str = ""
    column_unit: str = ""

    def celsius(self, chosen_unit: str) -> float | None:
        """In °C to 0.001, or None when missing or no temperature a probe can have.

        chosen_unit: what a person said it is, empty if nobody did; a suffix wins over it.
        """
        if self.number is None:
            return None
        degrees = to_celsius(self.number, self.unit or chosen_unit or self.column_unit)
        return plausible_c(round(degrees, 3))


def read_value(text: str) -> Value | None:
    """The value a field holds; None when the field is neither a number nor a missing one.

    An empty field is a missing value. A decimal comma is understood here; whether commas part
    fields is the caller's business.
    """
    if match := _NUMBER.fullmatch(text):
        return Value(float(match["number"].replace(",", ".")), match["unit"].upper())
    if not text or _NO_READING.fullmatch(text):
        return Value(None)
    return None


def is_clock(text: str) -> bool:
    """A date or time of day (`2026-03-02T08:14:09`, `08:14:09`), which no probe measured."""
    return _CLOCK.fullmatch(text) is not None


def to_celsius(degrees: float, unit: str) -> float:
    """Degrees of `unit` (C, F or K) in °C."""
    match unit:
        case "F":
            return (degrees - 32.0) * 5.0 / 9.0
        case "K":
            return degrees + ABSOLUTE_ZERO_C
        case _:
            return degrees
