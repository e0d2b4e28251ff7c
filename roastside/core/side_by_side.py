"""Two roasts side by side: what was different, stage by stage, in plain words."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from roastside.core.finished import FinishedRoast
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import MarkName, Stage
from roastside.core.smooth import Curve
from roastside.core.units import CELSIUS, Degrees

# Less than this is not told: no roaster repeats a roast more closely, nor would taste it. Choices.
LEAST_S = 5.0
LEAST_C = 1.0
LEAST_C_PER_MIN = 0.3
LEAST_RATIO = 0.01

_STAGES = (
    (Stage.DRYING, MarkName.CHARGE, MarkName.YELLOWING),
    (Stage.BROWNING, MarkName.YELLOWING, MarkName.FIRST_CRACK),
    (Stage.DEVELOPMENT, MarkName.FIRST_CRACK, MarkName.DROP),
)
_NEEDED = (MarkName.YELLOWING, MarkName.FIRST_CRACK, MarkName.DROP)


@dataclass(frozen=True, slots=True)
class Moment:
    """When (elapsed seconds) and how hot (°C) the beans were at a mark."""

    at_s: float
    bean_c: float


@dataclass(frozen=True, slots=True)
class StageFigures:
    """How long a stage was, and how fast the beans warmed in it on the whole."""

    lasted_s: float
    rate_c_per_min: float


@dataclass(frozen=True, slots=True)
class RoastFigures:
    """A roast in figures. Moments by mark name, stages by name; what is not known is not there.

    `charge_c` is the bean probe just before charge. Drying lasts from charge to yellowing, but its
    rate is counted from the turning point on, as the probe falls before.
    """

    title: str
    charge_c: float | None
    moments: Mapping[str, Moment]
    stages: Mapping[str, StageFigures]
    development_ratio: float | None

    @classmethod
    def of(cls, roast: FinishedRoast) -> RoastFigures:
        """The figures of a finished roast."""
        curve = roast.curve
        return cls.from_curve(roast.title, curve.time_s, curve.bean_c, roast.marks, roast.charge_c)

    @classmethod
    def from_curve(
        cls,
        title: str,
        elapsed_s: Curve,
        bean_c: Curve,
        marks: Mapping[str, float],
        charge_c: float | None = None,
    ) -> RoastFigures:
        """The figures of a smooth curve, arrays of shape (n,), and marks in elapsed seconds."""
        moments = {
            name: Moment(at_s, float(np.interp(at_s, elapsed_s, bean_c)))
            for name, at_s in marks.items()
        }
        return cls.from_moments(title, moments, charge_c)

    @classmethod
    def from_moments(
        cls, title: str, moments: Mapping[str, Moment], charge_c: float | None = None
    ) -> RoastFigures:
        """The figures that follow from the moments that are known, by mark name."""
        stages = {}
        for stage, begins, ends in _STAGES:
            found = _stage_figures(moments, begins, ends)
            if found is not None:
                stages[str(stage)] = found
        developed, drop = stages.get(Stage.DEVELOPMENT), moments.get(MarkName.DROP)
        ratio = developed.lasted_s / drop.at_s if developed and drop else None
        return cls(title, charge_c, moments, stages, ratio)


def _stage_figures(
    moments: Mapping[str, Moment], begins: MarkName, ends: MarkName
) -> StageFigures | None:
    warms = MarkName.TURNING_POINT if begins is MarkName.CHARGE else begins
    start, end = moments.get(warms), moments.get(ends)
    if start is None or end is None or end.at_s <= start.at_s:
        return None
    rate = SECONDS_PER_MINUTE * (end.bean_c - start.bean_c) / (end.at_s - start.at_s)
    return StageFigures(end.at_s - (0.0 if begins is MarkName.CHARGE else start.at_s), rate)


def comparison_words(
    first: RoastFigures, second: RoastFigures, degrees: Degrees = CELSIUS
) -> list[str]:
    """How the second roast differs from the first, a sentence each, in the order of a roast.

    Differences too small to matter are left out. What cannot be compared is said.
    """
    told = [
        _charge(first, second, degrees),
        _moment("Turning point", MarkName.TURNING_POINT, "lower", "higher", first, second, degrees),
        _stage(Stage.DRYING, first, second, degrees),
        _stage(Stage.BROWNING, first, second, degrees),
        _moment("First crack", MarkName.FIRST_CRACK, "cooler", "hotter", first, second, degrees),
        _stage(Stage.DEVELOPMENT, first, second, degrees),
        _ratio(first, second),
        _moment("Drop", MarkName.DROP, "cooler", "hotter", first, second, degrees),
    ]
    differences = [words for words in told if words] or ["About the same."]
    return differences + _not_compared(first, second)


def _charge(first: RoastFigures, second: RoastFigures, degrees: Degrees) -> str:
    if first.charge_c is None or second.charge_c is None:
        return ""
    warmth = _degrees(second.charge_c - first.charge_c, "cooler", "hotter", degrees)
    return f"Charged {warmth}." if warmth else ""


def _moment(
    name: str,
    mark: MarkName,
    less: str,
    more: str,
    first: RoastFigures,
    second: RoastFigures,
    degrees: Degrees,
) -> str:
    a, b = first.moments.get(mark), second.moments.get(mark)
    if a is None or b is None:
        return ""
    parts = [
        _seconds(b.at_s - a.at_s, "earlier", "later"),
        _degrees(b.bean_c - a.bean_c, less, more, degrees),
    ]
    words = ", ".join(part for part in parts if part)
    return f"{name} {words}." if words else ""


def _stage(stage: Stage, first: RoastFigures, second: RoastFigures, degrees: Degrees) -> str:
    a, b = first.stages.get(stage), second.stages.get(stage)
    if a is None or b is None:
        return ""
    # As both are told in whole seconds elsewhere, and their difference beside them.
    length = _seconds(round(b.lasted_s) - round(a.lasted_s), "shorter", "longer")
    faster = b.rate_c_per_min - a.rate_c_per_min
    if abs(faster) < LEAST_C_PER_MIN:
        return f"{stage.capitalize()} {length} at about the same rate." if length else ""
    size = abs(degrees.difference(faster) or 0.0)
    pace = f"at {size:.1f} {degrees.unit}/min {'more' if faster > 0.0 else 'less'}"
    return f"{stage.capitalize()} {length or 'about as long,'} {pace}."


def _ratio(first: RoastFigures, second: RoastFigures) -> str:
    a, b = first.development_ratio, second.development_ratio
    if a is None or b is None or abs(b - a) < LEAST_RATIO:
        return ""
    return f"Development ratio {100.0 * b:.1f} % instead of {100.0 * a:.1f} %."


def _not_compared(first: RoastFigures, second: RoastFigures) -> list[str]:
    """Which marks the comparison lacks, and of which roast."""
    words = []
    for mark in _NEEDED:
        lacking = [roast.title for roast in (first, second) if mark not in roast.moments]
        if lacking:
            name = mark.replace("_", " ").capitalize()
            words.append(f"{name} is not marked in {' nor in '.join(lacking)}.")
    return words


def _seconds(difference_s: float, less: str, more: str) -> str:
    if abs(difference_s) < LEAST_S:
        return ""
    return f"{abs(difference_s):.0f} s {more if difference_s > 0.0 else less}"


def _degrees(difference_c: float, less: str, more: str, degrees: Degrees) -> str:
    if abs(difference_c) < LEAST_C:
        return ""
    size = abs(degrees.difference(difference_c) or 0.0)
    return f"{size:.1f} {degrees.unit} {more if difference_c > 0.0 else less}"
