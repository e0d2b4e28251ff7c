"""A finished roast, ready to be looked at: its curve without noise, on the clock of the roast."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from math import inf
from statistics import median

import numpy as np

from roastside.core.errors import UsageError
from roastside.core.leaps import LeapJudge
from roastside.core.readings import MarkName, Reading, plausible_c
from roastside.core.smooth import Smoothed, smooth_roast

_LEAST_READINGS = 10
_LEAST_S = 60.0

_CHARGE_OVER_S = 5.0
"""The charge temperature is the middle one of so many seconds before charge."""

# A value that stays the same to the letter, and then leaps, was stuck. Choices.
_STUCK_S = 20.0
_STUCK_LEAPS_C = 3.0


@dataclass(frozen=True, slots=True)
class FinishedRoast:
    """The smoothed curve from charge to drop, or to the last reading, times in elapsed seconds.

    `marks`: elapsed seconds by mark name, the turning point always among them. `charge_c`: the
    bean probe just before charge, °C; None if nothing was read then.
    """

    title: str
    curve: Smoothed
    marks: Mapping[str, float]
    charge_c: float | None = None

    @classmethod
    def from_readings(
        cls,
        title: str,
        readings: Iterable[Reading],
        marks: Mapping[str, float],
        *,
        through_gaps: bool = False,
    ) -> FinishedRoast:
        """Smooth a roast. `marks` on the clock of the readings, stream seconds.

        The curve is known at the readings, with `through_gaps` also where they are missing for
        long. Left out are readings no probe can follow, and those of a probe that was stuck. Raises
        UsageError without a charge, or with less than a minute of readings after it.
        """
        charge_s, drop_s = marks.get(MarkName.CHARGE), marks.get(MarkName.DROP, inf)
        if charge_s is None:
            raise UsageError(
                f"{title} has no charge, so its elapsed time is unknown; add a row with the mark "
                "'charge', or choose another roast"
            )
        believed = _without_stuck(_believed(readings))
        points = [point for point in believed if charge_s <= point[0] <= drop_s]
        if len(points) < _LEAST_READINGS or points[-1][0] - points[0][0] < _LEAST_S:
            raise UsageError(
                f"{title} has less than a minute of readings between charge and drop; choose a "
                "whole roast"
            )
        smoothed = smooth_roast(
            np.array([at_s for at_s, _ in points]),
            np.array([c for _, c in points]),
            charge_s,
            through_gaps=through_gaps,
        )
        curve = replace(smoothed, time_s=smoothed.time_s - charge_s)
        elapsed = {name: at_s - charge_s for name, at_s in marks.items() if at_s >= charge_s}
        elapsed.setdefault(MarkName.TURNING_POINT, _lowest_s(curve))
        before = [c for at_s, c in believed if charge_s - _CHARGE_OVER_S <= at_s <= charge_s]
        return cls(title, curve, elapsed, median(before) if before else None)


def _believed(readings: Iterable[Reading]) -> list[tuple[float, float]]:
    """Stream seconds and °C of the bean readings a probe can have made, in the order of time."""
    found = [(r.time_s, c) for r in readings if (c := plausible_c(r.bean_c)) is not None]
    judge = LeapJudge()
    return [point for point in sorted(found) if judge.believes(*point)]


def _without_stuck(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Of a value that was stuck only the first is kept."""
    kept: list[tuple[float, float]] = []
    run: list[tuple[float, float]] = []
    for point in points:
        if run and point[1] != run[0][1]:
            kept += run[:1] if _was_stuck(run, point[1]) else run
            run = []
        run.append(point)
    return kept + run


def _was_stuck(run: list[tuple[float, float]], next_c: float) -> bool:
    lasted_s = run[-1][0] - run[0][0]
    return lasted_s >= _STUCK_S and abs(next_c - run[0][1]) >= _STUCK_LEAPS_C


def _lowest_s(curve: Smoothed) -> float:
    """Where the curve is lowest, looking no further than where it is hottest."""
    half = len(curve.bean_c) // 2
    hottest = half + int(np.argmax(curve.bean_c[half:]))
    return float(curve.time_s[np.argmin(curve.bean_c[: hottest + 1])])
