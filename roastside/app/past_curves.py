"""What the charts of past roasts draw: one roast opened, and many laid over each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from roastside.app.curves import SHORT, in_degrees
from roastside.app.log_columns import name_of
from roastside.app.widgets.chart import ChartData, Ink, Pattern, Series, VerticalMark
from roastside.app.words import named
from roastside.core.readings import MarkName
from roastside.core.smooth import Curve
from roastside.core.units import Degrees
from roastside.live.overlay import Alignment, Laid
from roastside.live.past_curve import PastCurve
from roastside.live.past_roast import HeldAgainst, PastRoast

_LOOKS = (
    (Ink.BEAN, Pattern.SOLID),
    (Ink.REFERENCE, Pattern.DASHED),
    (Ink.AIR, Pattern.DOTTED),
    (Ink.RATE, Pattern.SPARSE),
    (Ink.WARN, Pattern.SOLID),
    (Ink.BAD, Pattern.DASHED),
    (Ink.PLAIN, Pattern.DOTTED),
    (Ink.QUIET, Pattern.SPARSE),
)
"""How each of a few roasts is drawn; of more than these only two stand out."""

_LETTERS = "abcdefgh"
_PATTERNS = 4
"""Of more roasts than these, some are told apart by colour alone: then letters are added."""

_LETTER_ROOM = 1.1
"""How much longer the time axis is where letters stand after the curves."""

_HIGHLIGHTED, _FIRST, _OTHERS = 3, 2, 1


def glimpse(curve: PastCurve, degrees: Degrees) -> ChartData:
    """A roast as it is read at first."""
    return ChartData(
        series=[*_bean_and_rate(curve.elapsed_s, curve.bean_c, curve.rate_c_per_min, degrees)],
        marks=_marks(curve.marks),
        x_range=_x_range(curve.elapsed_s),
        left_unit=degrees.unit,
        right_unit=f"{degrees.unit}/min",
    )


def opened(roast: PastRoast, held: HeldAgainst | None, degrees: Degrees) -> ChartData:
    """A roast smoothed, its air temperature, and the reference it was held against."""
    series = [
        *_bean_and_rate(roast.elapsed_s, roast.bean_c, roast.rate_c_per_min, degrees),
        Series(
            "air",
            roast.air_at_s,
            in_degrees(roast.air_c, degrees),
            ink=Ink.AIR,
            pattern=Pattern.DASHED,
            priority=1,
        ),
    ]
    if held is not None:
        shown = in_degrees(held.bean_c, degrees)
        pattern, ink = Pattern.DOTTED, Ink.REFERENCE
        series.append(Series("reference", held.elapsed_s, shown, "left", ink, pattern, 2))
    return ChartData(
        series=[each for each in series if each.x.size],
        marks=_marks(roast.marks),
        x_range=_x_range(roast.elapsed_s),
        left_unit=degrees.unit,
        right_unit=f"{degrees.unit}/min",
    )


def look_of(place: int, count: int, highlighted: int) -> tuple[Ink, Pattern]:
    """How the roast at a place is drawn among `count` of them."""
    if place == highlighted:
        return (Ink.BEAN if count > len(_LOOKS) else _LOOKS[place][0]), Pattern.HEAVY
    if count <= len(_LOOKS):
        return _LOOKS[place]
    return (Ink.REFERENCE, Pattern.SOLID) if place == 0 else (Ink.QUIET, Pattern.DOTTED)


def letter_of(place: int, count: int) -> str:
    """What stands at the end of a curve and in its line of the list; empty if its look suffices."""
    return _LETTERS[place] if _PATTERNS < count <= len(_LOOKS) else ""


def laid_over(
    every: Sequence[Laid], highlighted: int, alignment: Alignment, rate: bool, degrees: Degrees
) -> ChartData:
    """Many roasts, lined up where the first of them that has the mark has it.

    A roast without the mark is not drawn. `rate` draws rates of rise in place of temperatures.
    """
    found = [at_s for laid in every if (at_s := laid.at_s(alignment)) is not None]
    series: list[Series] = []
    for place, laid in enumerate(every):
        at_s = laid.at_s(alignment)
        if at_s is None:
            continue
        curve = laid.curve
        y = curve.rate_c_per_min * degrees.per_c if rate else in_degrees(curve.bean_c, degrees)
        ink, pattern = look_of(place, len(every), highlighted)
        rank = _HIGHLIGHTED if place == highlighted else _FIRST if place == 0 else _OTHERS
        x, letter = curve.elapsed_s + (found[0] - at_s), letter_of(place, len(every))
        series.append(Series("", x, y, "left", ink, pattern, rank, letter=letter))
    starts = [float(line.x[0]) for line in series]
    ends = [float(line.x[-1]) for line in series]
    room = _LETTER_ROOM if letter_of(0, len(every)) else 1.02
    marks = [] if alignment is Alignment.CHARGE else [_lined_up(alignment, found)]
    return ChartData(
        series=series,
        marks=marks,
        x_range=(min(starts), max(ends) * room) if series else (0.0, 600.0),
        left_unit=f"{degrees.unit}/min" if rate else degrees.unit,
    )


def title_of(laid: Laid) -> tuple[str, str]:
    """The day (empty if unknown) and the name, as in the list."""
    return (laid.roast.started_at or "")[:10], name_of(laid.roast)


def _lined_up(alignment: Alignment, found: Sequence[float]) -> VerticalMark:
    return VerticalMark(found[0] if found else np.nan, named(alignment))


def _bean_and_rate(x: Curve, bean_c: Curve, rate: Curve, degrees: Degrees) -> tuple[Series, Series]:
    return (
        Series("bean", x, in_degrees(bean_c, degrees), ink=Ink.BEAN, priority=4),
        Series("rate", x, rate * degrees.per_c, "right", Ink.RATE, priority=3),
    )


def _marks(marks: Mapping[str, float]) -> list[VerticalMark]:
    return [
        VerticalMark(at_s, SHORT[MarkName(name)]) for name, at_s in marks.items() if name in SHORT
    ]


def _x_range(elapsed_s: Curve) -> tuple[float, float]:
    return 0.0, max(float(elapsed_s[-1]) * 1.04 if elapsed_s.size else 0.0, 120.0)
