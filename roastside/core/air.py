"""What the air around the beans tells of the way ahead."""

from __future__ import annotations

from math import expm1

from roastside.core.probe_error import ProbeError
from roastside.core.singer import Motion, Track

_MOTION = Motion(1e-2, 15.0)
"""The air answers the controls within a quarter of a minute, by about 10 °C. A choice."""

_GATE_SDS = 5.0
_PATIENCE_READINGS = 5
_LONGEST_S = 20.0

_LEAST_GAP_C = 15.0
_LEAST_SLOPE_C_PER_S = 1.0 / 60.0
_MOST_PER_S = 0.02
"""Beans that take up more than this share of the gap in a second are none. A choice."""

_UNSEEN_C = 260.0
_LEAST_UNSEEN_GAP_C = 30.0
"""Air that no probe sees is taken to be as hot as it is towards the end of a roast, some 40 °C
above the beans (common practice, no source). 235 to 320 °C serve about as well."""


class AirProbe:
    """Level and slope of the air temperature, and how it bends the bean curve.

    Beans take up heat in proportion to how much hotter the air is: v = k (air − bean), Newton's law
    of cooling. So while k changes slowly the slope changes by k times the difference of the two
    slopes: air that rises bends the curve up at once, when the beans hardly show it yet, and as
    beans come near the air they slow down. That they do without a probe in the air, too, the
    faster the faster they climb: then the air is taken to be where it ends, and to stay there.
    """

    def __init__(self) -> None:
        self._error = ProbeError()
        self._track: Track | None = None
        self._time_s = 0.0
        self._outliers = 0

    def update(self, time_s: float, air_c: float) -> None:
        """Take in a reading of the air probe, °C; times must not go back."""
        self._error.update(time_s, air_c)
        track, dt = self._track, time_s - self._time_s
        self._time_s = time_s
        if track is None or dt > _LONGEST_S or self._outliers >= _PATIENCE_READINGS:
            self._track = Track(air_c, 0.0, 1.0, 1.0, _MOTION.sd_c_per_s2**2)
            self._outliers = 0
            return
        if dt > 0.0:
            track.predict(_MOTION.over(dt, 0.0), 0.0, 0.0)
        variance, half_step = self._error.of_reading(track.v)
        off = air_c - track.x
        if off * off > _GATE_SDS**2 * (track.xx + variance + half_step * half_step / 3.0):
            self._outliers += 1
            return
        self._outliers = 0
        track.update(air_c, variance, half_step)

    def bends(
        self, time_s: float, bean_c: float, slope_c_per_s: float, dt: float
    ) -> tuple[float, float]:
        """What the bean curve gains in level (°C) and slope (°C/s) in `dt` beside going straight.

        Nothing unless the beans plainly rise. Air that is not plainly hotter than they are at
        `time_s`, or of which nothing was heard for a while, counts as unseen.
        """
        if slope_c_per_s < _LEAST_SLOPE_C_PER_S:
            return 0.0, 0.0
        track = self._track if time_s - self._time_s <= _LONGEST_S else None
        gap_c, air_slope = (0.0, 0.0) if track is None else (track.x - bean_c, track.v)
        if gap_c < _LEAST_GAP_C:
            gap_c, air_slope = _unseen_gap(bean_c), 0.0
        share = min(slope_c_per_s / gap_c, _MOST_PER_S)
        gained = share * (air_slope - slope_c_per_s) * dt
        return 0.5 * gained * dt, gained


def nearing(bean_c: float, slope_c_per_s: float, seconds: float) -> tuple[float, float]:
    """What beans nearing unseen air gain in `seconds`, °C, and how much of it each °C/s of slope.

    Newton's law carried on: the gap, and the slope with it, dies away by exp(−k t), k being what it
    is now. Beans that do not rise go straight on.
    """
    if slope_c_per_s <= 0.0:
        return slope_c_per_s * seconds, seconds
    gap_c = _unseen_gap(bean_c)
    share = -expm1(-slope_c_per_s / gap_c * seconds)
    return gap_c * share, gap_c * share / slope_c_per_s


def _unseen_gap(bean_c: float) -> float:
    return max(_UNSEEN_C - bean_c, _LEAST_UNSEEN_GAP_C)
