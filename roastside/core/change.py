"""What an edit did to a reference: before and after, in figures, in words and as a curve."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from roastside.core.edits import parse_edits
from roastside.core.readings import MarkName, Stage
from roastside.core.reference import Reference
from roastside.core.reshape import reshape
from roastside.core.side_by_side import RoastFigures
from roastside.core.smooth import Curve
from roastside.core.text import clean
from roastside.core.units import CELSIUS, Degrees

_ABOUT_S, _ABOUT_C = 0.5, 0.05
"""Less than this is no change: it could not be shown."""


@dataclass(frozen=True, slots=True)
class Change:
    """An edited reference beside the one it came from.

    `asked`: the edit in the roaster's words. `words`: what changed, a line for each stage and
    moment. `rate_change_c_per_min`, shape (n,) on the grid of `after`: the rate there less the
    rate at the same place of the roast before, so that what only moved counts as unchanged.
    """

    before: Reference
    after: Reference
    asked: str
    words: tuple[str, ...]
    rate_change_c_per_min: Curve


def edited(
    reference: Reference, text: str, degrees: Degrees = CELSIUS, title: str | None = None
) -> Change:
    """The reference edited as a roaster says it; the new one is called `title` if given.

    Raises UsageError with one sentence for what is not understood or cannot be done.
    """
    reshaped = reshape(reference, parse_edits(text, degrees), degrees)
    after = replace(reshaped.reference, title=title or reference.title)
    grid_s, _, rate_before = reference.arrays
    change = after.arrays[2] - np.interp(reshaped.was_s, grid_s, rate_before)
    words = change_words(figures_of(reference), figures_of(after), degrees)
    # Before the turning point the rate tells of the probe, not of the beans.
    rising = after.arrays[0] >= after.lowest_s
    words += rate_words(after.arrays[0][rising], change[rising], degrees)
    return Change(reference, after, clean(text), tuple(words), change)


def figures_of(reference: Reference) -> RoastFigures:
    """A reference in figures, to be set beside a roast or another reference."""
    elapsed_s, bean_c, _ = reference.arrays
    marks = {MarkName.TURNING_POINT: reference.turning_point_s, **reference.marks}
    return RoastFigures.from_curve(reference.title, elapsed_s, bean_c, marks, float(bean_c[0]))


def change_words(
    before: RoastFigures, after: RoastFigures, degrees: Degrees = CELSIUS
) -> list[str]:
    """Every figure that changed, a line each, however little; as an edit is meant, it is told."""
    lines: list[str] = []
    charges = (before.charge_c, after.charge_c)
    lines += _line("Charge", _temperatures(charges, degrees))
    for stage in (Stage.DRYING, Stage.BROWNING, Stage.DEVELOPMENT):
        a, b = before.stages.get(stage), after.stages.get(stage)
        if a and b:
            rates = (a.rate_c_per_min, b.rate_c_per_min)
            told = (*_times((a.lasted_s, b.lasted_s)), *_rates(rates, degrees))
            lines += _line(stage.capitalize(), told)
    for mark in (MarkName.YELLOWING, MarkName.FIRST_CRACK, MarkName.DROP):
        c, d = before.moments.get(mark), after.moments.get(mark)
        if c and d:
            told = (
                *_times((c.at_s, d.at_s), "at "),
                *_temperatures((c.bean_c, d.bean_c), degrees),
            )
            lines += _line(mark.replace("_", " ").capitalize(), told)
    ratios = (before.development_ratio, after.development_ratio)
    if ratios[0] is not None and ratios[1] is not None and abs(ratios[1] - ratios[0]) >= 0.0005:
        lines.append(f"Development ratio {100 * ratios[0]:.1f} → {100 * ratios[1]:.1f} %.")
    return lines


def rate_words(elapsed_s: Curve, change_c_per_min: Curve, degrees: Degrees = CELSIUS) -> list[str]:
    """Where the rate changes most, less and more, as one sentence; none if it hardly does."""
    told = []
    for k in sorted({int(np.argmin(change_c_per_min)), int(np.argmax(change_c_per_min))}):
        by = degrees.difference(float(change_c_per_min[k])) or 0.0
        if abs(by) >= _ABOUT_C:
            told.append(f"{_signed(by, 1)} {degrees.unit}/min at {_clock(elapsed_s[k])}")
    return [f"The rate changes by up to {' and '.join(told)}."] if told else []


def _line(name: str, told: Sequence[str]) -> list[str]:
    return [f"{name} {', '.join(told)}."] if told else []


def _times(pair: tuple[float, float], before: str = "") -> tuple[str, ...]:
    if abs(pair[1] - pair[0]) < _ABOUT_S:
        return ()
    return (f"{before}{_clock(pair[0])} → {_clock(pair[1])} ({_signed(pair[1] - pair[0])} s)",)


def _temperatures(pair: tuple[float | None, float | None], degrees: Degrees) -> tuple[str, ...]:
    a, b = (degrees.temperature(value_c) for value_c in pair)
    if a is None or b is None or abs(b - a) < _ABOUT_C:
        return ()
    return (f"{a:.1f} → {b:.1f} {degrees.unit}",)


def _rates(pair: tuple[float, float], degrees: Degrees) -> tuple[str, ...]:
    a, b = (degrees.difference(rate) or 0.0 for rate in pair)
    if abs(b - a) < _ABOUT_C:
        return ()
    return (f"rate {a:.1f} → {b:.1f} {degrees.unit}/min",)


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"


def _signed(value: float, decimals: int = 0) -> str:
    return f"{value:+.{decimals}f}".replace("-", "−")
