"""Axes: nice numbers, ranges that do not flicker, time in m:ss."""

from __future__ import annotations

import math
from dataclasses import dataclass

NICE_SECONDS = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400)
_STEPS_PER_RANGE = 8
_SHRINK_BELOW = 0.6
_HEADROOM = 0.15
"""Where a line grows out of the range, it gets so much more, or the next reading moves it again."""


def spread(low: float, high: float, least: float = 1.0) -> tuple[float, float]:
    """The range itself, or one that begins there and can be drawn: finite and not empty."""
    low = low if math.isfinite(low) else 0.0
    return (low, high) if math.isfinite(high) and high > low else (low, low + least)


def nice_step(at_least: float) -> float:
    """The smallest of 1, 2 or 5 times a power of ten that is not below `at_least` (positive)."""
    magnitude = 10.0 ** math.floor(math.log10(at_least))
    for factor in (1, 2, 5, 10):
        if factor * magnitude >= at_least * (1 - 1e-9):
            return factor * magnitude
    return 10 * magnitude


def nice_seconds(at_least: float) -> float:
    """The smallest round step of time that is not below `at_least` seconds."""
    for step in NICE_SECONDS:
        if step >= at_least * (1 - 1e-9):
            return float(step)
    return 14400.0 * math.ceil(at_least / 14400)


def ticks(low: float, high: float, step: float) -> list[float]:
    """The multiples of `step` from `low` to `high`, both included."""
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [n * step for n in range(first, last + 1)]


def value_label(value: float, step: float) -> str:
    """A tick's number with as many decimals as its step needs; a true minus sign."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    text = f"{abs(value):.{decimals}f}"
    return f"−{text}" if value < 0 and float(text) else text


def clock(seconds: float) -> str:
    """m:ss, as everywhere on the screens: 63 -> 1:03, -5 -> −0:05."""
    whole = round(abs(seconds))
    sign = "−" if seconds < 0 and whole else ""
    return f"{sign}{whole // 60}:{whole % 60:02d}"


@dataclass(slots=True)
class AxisRange:
    """An axis that stays put: it grows at once, and shrinks only when it is far too large.

    `least` is the smallest span it shows. Ends are multiples of a nice step.
    """

    least: float = 1.0
    low: float = math.nan
    high: float = math.nan

    def fit(self, low: float, high: float) -> tuple[float, float]:
        """The range to show for values from `low` to `high`. NaN: nothing known, keep the last."""
        if not (math.isfinite(low) and math.isfinite(high)):
            return (0.0, self.least) if math.isnan(self.low) else (self.low, self.high)
        wanted_low, wanted_high = self._rounded(low, high)
        all_low, all_high = min(low, self.low), max(high, self.high)
        far_too_large = wanted_high - wanted_low < _SHRINK_BELOW * (all_high - all_low)
        if math.isnan(self.low) or far_too_large:
            self.low, self.high = wanted_low, wanted_high
        elif low < self.low or high > self.high:
            room = _HEADROOM * (all_high - all_low)
            self.low, self.high = self._rounded(
                all_low - room * (low < self.low), all_high + room * (high > self.high)
            )
        return self.low, self.high

    def _rounded(self, low: float, high: float) -> tuple[float, float]:
        if high - low < self.least:
            middle = (low + high) / 2
            low, high = middle - self.least / 2, middle + self.least / 2
        step = nice_step((high - low) / _STEPS_PER_RANGE)
        return step * math.floor(low / step + 1e-9), step * math.ceil(high / step - 1e-9)
