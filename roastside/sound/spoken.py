"""Words for the ear: numbers, units and times as a person says them."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from typing import TypeGuard

from roastside.core.units import CELSIUS, Degrees

# fmt: off
_SMALL = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
    "ten", "eleven", "twelve", "thirteen", "fourteen",
    "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)
_TENS = (
    "", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety",
)
# fmt: on

LARGEST = 999_999
"""No larger number is put into words."""

_UNITS = {
    "°C/min": "degrees a minute",
    "°F/min": "degrees a minute",
    "°C": "degrees",
    "°F": "degrees",
    "°": "degrees",
    "%": "percent",
    "min": "minutes",
    "ms": "milliseconds",
    "s": "seconds",
    "kg": "kilograms",
    "lb": "pounds",
    "g": "grams",
}

_ONE = {
    "degrees a minute": "degree a minute",
    **{f"{unit}s": unit for unit in ("degree", "minute", "millisecond", "second", "pound")},
    **{f"{unit}s": unit for unit in ("kilogram", "gram")},
}

_FIGURE = re.compile(
    # Not inside a word, a path, a date, a version or a number with thousands set apart.
    r"(?<![\w.,/:°-])"
    r"(?P<sign>[-−+±]?)(?:(?P<clock>\d{1,3}:[0-5]\d)|(?P<number>\d+(?:\.\d+)?))"
    rf"(?:\s?(?P<unit>{'|'.join(map(re.escape, _UNITS))}))?"
    r"(?P<noun>\s(?:degrees|seconds|minutes))?"
    r"(?!\w|[.,/:-]\w|°)"
)

_BETWEEN = re.compile(r"(?<=\d)\s?–\s?(?=\d)")

_SIGNS = {"-": "minus ", "−": "minus ", "+": "plus ", "±": "plus or minus "}


def whole(number: int) -> str:
    """A whole number in words, `one hundred eighty-two`; beyond LARGEST in digits."""
    if number < 0:
        return f"minus {whole(-number)}"
    if number < 20:
        return _SMALL[number]
    if number < 100:
        tens, ones = divmod(number, 10)
        return f"{_TENS[tens]}-{_SMALL[ones]}" if ones else _TENS[tens]
    if number > LARGEST:
        return str(number)
    size, name = (100, "hundred") if number < 1000 else (1000, "thousand")
    count, rest = divmod(number, size)
    words = f"{whole(count)} {name}"
    return f"{words} {whole(rest)}" if rest else words


def decimal(value: float, digits: int = 1) -> str:
    """A number with its decimals one by one, `eight point four`; finite."""
    return _from_figures(f"{value:.{digits}f}")


def temperature(value_c: float, degrees: Degrees = CELSIUS) -> str:
    """A bean temperature in whole degrees, `one hundred eighty-two degrees`."""
    shown = round(value_c * degrees.per_c + degrees.zero)
    return _counted(whole(shown), "degrees")


def rate(value_c_per_min: float, degrees: Degrees = CELSIUS) -> str:
    """A rate of rise, `eight point four degrees a minute`."""
    return _counted(decimal(value_c_per_min * degrees.per_c), "degrees a minute")


def duration(seconds: float) -> str:
    """A length of time: `forty seconds`, `one minute`, `six minutes ten`."""
    minutes, rest = divmod(round(abs(seconds)), 60)
    if not minutes:
        return _counted(whole(rest), "seconds")
    words = _counted(whole(minutes), "minutes")
    return f"{words} {whole(rest)}" if rest else words


def pace(ahead_s: float) -> str:
    """How far ahead or behind, `twelve seconds behind`; within half a second `on the reference`."""
    if round(ahead_s) == 0:
        return "on the reference"
    return f"{duration(ahead_s)} {'ahead' if ahead_s > 0.0 else 'behind'}"


def sentence(message: str) -> str:
    """A message as it is shown, made fit to be spoken.

    Figures with their units and clock times become words; names, paths and dates stay.
    """
    words = _FIGURE.sub(_spoken_figure, _BETWEEN.sub(" to ", message))
    return words.replace("°C", "degrees Celsius").replace("°F", "degrees Fahrenheit")


@dataclass(frozen=True, slots=True)
class Status:
    """Where the roast stands; None is unknown and left out. As in the event stream.

    elapsed_s: since charge. development_s: since first crack. milestone: the next one expected,
    in in_s seconds (negative: overdue).
    """

    elapsed_s: float | None = None
    bean_c: float | None = None
    rate_c_per_min: float | None = None
    ahead_s: float | None = None
    development_s: float | None = None
    milestone: str | None = None
    in_s: float | None = None


def status_sentence(status: Status, degrees: Degrees = CELSIUS) -> str:
    """The status in one breath.

    `six minutes ten, one hundred eighty-two degrees, rate eight point four, twelve seconds
    behind, first crack in forty seconds`
    """
    parts = []
    if _known(status.elapsed_s):
        parts.append(duration(status.elapsed_s))
    if _known(status.bean_c):
        parts.append(temperature(status.bean_c, degrees))
    if _known(status.rate_c_per_min):
        parts.append(f"rate {decimal(status.rate_c_per_min * degrees.per_c)}")
    if _known(status.ahead_s):
        parts.append(pace(status.ahead_s))
    if _known(status.development_s):
        parts.append(f"development {duration(status.development_s)}")
    if status.milestone and _known(status.in_s):
        parts.append(f"{status.milestone.replace('_', ' ')} {_when(status.in_s)}")
    return ", ".join(parts) or "no reading yet"


def _known(value: float | None) -> TypeGuard[float]:
    return value is not None and isfinite(value)


def _when(in_s: float) -> str:
    if round(in_s) == 0:
        return "now"
    return f"in {duration(in_s)}" if in_s > 0.0 else f"{duration(in_s)} overdue"


def _from_figures(figures: str) -> str:
    """`-8.4` as words; a zero bears no sign."""
    minus = "minus " if figures.startswith("-") and float(figures) != 0.0 else ""
    before, _, after = figures.removeprefix("-").partition(".")
    words = minus + whole(int(before))
    return f"{words} point {' '.join(_SMALL[int(each)] for each in after)}" if after else words


def _counted(count: str, unit: str) -> str:
    return f"{count} {_ONE.get(unit, unit) if count.removeprefix('minus ') == 'one' else unit}"


def _spoken_figure(found: re.Match[str]) -> str:
    sign = _SIGNS.get(found["sign"], "")
    if found["clock"]:
        minutes, seconds = map(int, found["clock"].split(":"))
        return sign + duration(60 * minutes + seconds) + (found["noun"] or "")
    words = _from_figures(found["number"])
    unit = _UNITS[found["unit"]] if found["unit"] else (found["noun"] or "").strip()
    return sign + (_counted(words, unit) if unit else words)
