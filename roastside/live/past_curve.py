"""The curve of a recorded roast, read fast and calmed lightly: to look at many of them at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roastside.book.calm import CalmReadings
from roastside.book.recording import read_recording
from roastside.core.errors import RecordError
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import MarkName
from roastside.core.smooth import Curve
from roastside.core.text import clean

_SLOPE_OVER_S = 15
"""The rate is the slope of the straight line through so many seconds to either side."""

_GAP_S = 10.0
_LEAST_S = 60.0
_LEAST_READINGS = 10


@dataclass(frozen=True, slots=True)
class PastCurve:
    """Bean temperature (°C) and rate of rise (°C/min) every second from charge to drop.

    Arrays of one length n over `elapsed_s`; NaN in a gap, and for the rate before the turning
    point. `marks`: elapsed seconds by mark name, the turning point always among them.
    """

    elapsed_s: Curve
    bean_c: Curve
    rate_c_per_min: Curve
    marks: Mapping[str, float]


def read_curve(path: Path) -> PastCurve:
    """The curve of a roast file. Raises RecordError, a sentence, if there is none to draw."""
    recording = read_recording(path)
    name, marks = clean(path.name), recording.marks
    charge_s, drop_s = marks.time_s(MarkName.CHARGE), marks.time_s(MarkName.DROP)
    if charge_s is None:
        raise RecordError(
            f"{name} has no charge, so its elapsed time is unknown; add a row with the mark charge"
        )
    roast = CalmReadings.of(recording.time_s, recording.bean_c)
    roast = roast.between(charge_s, np.inf if drop_s is None else drop_s)
    elapsed_s, bean_c = roast.time_s - charge_s, roast.bean_c
    if elapsed_s.size < _LEAST_READINGS or elapsed_s[-1] - elapsed_s[0] < _LEAST_S:
        raise RecordError(
            f"{name} has less than a minute of readings after its charge; choose a whole roast"
        )
    second, level_c = _every_second(elapsed_s, bean_c)
    rate = _slope(level_c)
    gaps = _in_a_gap(second, elapsed_s)
    found = marks.all_elapsed_s()
    turned_s = found.setdefault(MarkName.TURNING_POINT, _lowest_s(second, level_c))
    level_c[gaps] = np.nan
    rate[gaps | (second < turned_s)] = np.nan
    return PastCurve(second, level_c, rate, found)


def _every_second(elapsed_s: Curve, values: Curve) -> tuple[Curve, Curve]:
    """The mean of each second, and straight lines between them."""
    number = np.rint(elapsed_s).astype(np.intp)
    count = np.bincount(number)
    total = np.bincount(number, values)
    filled = np.flatnonzero(count)
    second = np.arange(filled[-1] + 1, dtype=float)
    return second, np.interp(second, filled, total[filled] / count[filled])


def _slope(level_c: Curve) -> Curve:
    """Slope in °C/min. Beyond the ends the curve goes on as it came, turned about its end."""
    steps = np.arange(-_SLOPE_OVER_S, _SLOPE_OVER_S + 1, dtype=float)
    weights = steps[::-1] / (steps @ steps) * SECONDS_PER_MINUTE
    padded = np.pad(level_c, _SLOPE_OVER_S, mode="reflect", reflect_type="odd")
    return np.convolve(padded, weights, mode="valid")


def _in_a_gap(second: Curve, elapsed_s: Curve) -> NDArray[np.bool_]:
    following = np.searchsorted(elapsed_s, second).clip(1, elapsed_s.size - 1)
    before, after = elapsed_s[following - 1], elapsed_s[following]
    inside = (second > before) & (second < after)
    gap: NDArray[np.bool_] = inside & (after - before > _GAP_S)
    return gap


def _lowest_s(second: Curve, level_c: Curve) -> float:
    """Where the curve is lowest before it is hottest."""
    half = len(level_c) // 2
    hottest = half + int(np.argmax(level_c[half:]))
    return float(second[np.argmin(level_c[: hottest + 1])])
