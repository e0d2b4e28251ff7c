"""The readings of a finished roast made calm, fast enough for thousands of roasts.

What takes the noise out of one roast to be looked at is core.finished; it takes fifty times as
long. A test holds the two against each other.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roastside.core.leaps import LeapJudge
from roastside.core.smooth import Curve

# Choices: a probe of a small roaster takes 3 s or more to follow its beans, so what comes and goes
# within so few readings is no temperature.
_SPIKE_S = 2.0
_LONGEST_SPIKE = 4
_SPIKE_C = 3.0
_NO_SPIKE_C = 0.9 * _SPIKE_C
_REACH_S = 4.0
_REACH_READINGS = 1.5
_LEAST_NEAR = 3
_LONGEST_STEP_S = 10.0

# As in core.finished: a value that stays the same to the letter, and then leaps, was stuck.
_STUCK_S = 20.0
_STUCK_LEAPS_C = 3.0

_NO_LEAP_C = 30.0
"""No step as small as this is a leap to core.leaps."""


class CalmReadings:
    """Readings that can be believed, in the order of time: seconds and °C, shape (n,).

    `reach_s`: how far to either side of a moment the readings that tell of it are taken from.
    """

    def __init__(self, time_s: Curve, bean_c: Curve, reach_s: float) -> None:
        self.time_s, self.bean_c, self._reach_s = time_s, bean_c, reach_s

    @classmethod
    def of(cls, time_s: Curve, bean_c: Curve) -> CalmReadings:
        """Sort the readings and leave out spikes, leaps, and a probe that was stuck."""
        order = np.lexsort((bean_c, time_s))
        time_s, bean_c = time_s[order], bean_c[order]
        step_s = float(np.median(np.diff(time_s))) if len(time_s) > 1 else 0.0
        kept = _within_reach(time_s, bean_c)
        time_s, bean_c = time_s[kept], bean_c[kept]
        kept = _no_spikes(bean_c, step_s)
        time_s, bean_c = time_s[kept], bean_c[kept]
        kept = _not_stuck(time_s, bean_c)
        time_s, bean_c = time_s[kept], bean_c[kept]
        return cls(time_s, bean_c, max(_REACH_S, _REACH_READINGS * step_s))

    def between(self, from_s: float, to_s: float) -> CalmReadings:
        """Those from one moment to another, both included."""
        first = np.searchsorted(self.time_s, from_s)
        end = np.searchsorted(self.time_s, to_s, side="right")
        return CalmReadings(self.time_s[first:end], self.bean_c[first:end], self._reach_s)

    def at_c(self, at_s: float | None) -> float | None:
        """The temperature at a moment, by the straight line through the readings around it."""
        if at_s is None:
            return None
        near = self.between(at_s - self._reach_s, at_s + self._reach_s)
        if len(near.time_s) < 2:
            return None
        away_s = near.time_s - at_s
        centre_s, centre_c = float(away_s.mean()), float(near.bean_c.mean())
        spread_s = away_s - centre_s
        square = float(spread_s @ spread_s)
        slope = float(spread_s @ near.bean_c) / square if square else 0.0
        return centre_c - slope * centre_s

    def calm(self, values: Curve) -> tuple[Curve, Curve, Curve]:
        """Running means of values at the readings, shape (m,), where there are enough.

        With them their elapsed seconds, and how many seconds each stands for.
        """
        first = np.searchsorted(self.time_s, self.time_s - self._reach_s)
        end = np.searchsorted(self.time_s, self.time_s + self._reach_s, side="right")
        enough = end - first >= _LEAST_NEAR
        total = np.concatenate(([0.0], np.cumsum(values)))
        mean = (total[end] - total[first])[enough] / (end - first)[enough]
        lasted_s = np.minimum(np.diff(self.time_s, prepend=self.time_s[:1]), _LONGEST_STEP_S)
        return self.time_s[enough], mean, lasted_s[enough]

    def lowest_s(self) -> float | None:
        """When they are lowest, looking no further than where they are hottest."""
        time_s, bean_c, _ = self.calm(self.bean_c)
        if not len(time_s):
            return None
        half = len(bean_c) // 2
        hottest = half + int(np.argmax(bean_c[half:]))
        return float(time_s[np.argmin(bean_c[: hottest + 1])])

    def rises_through_s(self, bean_c: float) -> float | None:
        """When they first rise through a temperature, °C."""
        time_s, calm_c, _ = self.calm(self.bean_c)
        above = np.flatnonzero((calm_c[1:] >= bean_c) & (calm_c[:-1] < bean_c))
        if not len(above):
            return None
        k = int(above[0])
        share = (bean_c - calm_c[k]) / (calm_c[k + 1] - calm_c[k])
        return float(time_s[k] + share * (time_s[k + 1] - time_s[k]))


def _within_reach(time_s: Curve, bean_c: Curve) -> NDArray[np.bool_]:
    if not np.any(np.abs(np.diff(bean_c)) > _NO_LEAP_C):
        return np.ones(len(bean_c), dtype=np.bool_)
    judge = LeapJudge()
    points = zip(time_s.tolist(), bean_c.tolist(), strict=True)
    return np.array([judge.believes(at_s, value_c) for at_s, value_c in points])


def _no_spikes(bean_c: Curve, step_s: float) -> NDArray[np.bool_]:
    """Left out is what is far from the median of itself and its neighbours."""
    # A spike lasts for a few readings, and a plunge must not be taken for one at a slow pace.
    each_side = int(np.clip(_SPIKE_S / step_s, 1, _LONGEST_SPIKE)) if step_s else 1
    near = np.ones(len(bean_c), dtype=np.bool_)
    each_side = min(each_side, len(bean_c) - 1)
    if each_side < 1:
        return near
    # At the ends they are mirrored.
    padded = np.pad(bean_c, each_side, mode="reflect")
    windows = np.lib.stride_tricks.sliding_window_view(padded, 2 * each_side + 1)
    # Where neighbours hardly step, nothing is far from anything; few places are left to look at.
    stepped_c = np.concatenate(([0.0], np.cumsum(np.abs(np.diff(padded)))))
    looked_at = stepped_c[2 * each_side :] - stepped_c[: -2 * each_side] > _NO_SPIKE_C
    middle = np.partition(windows[looked_at], each_side, axis=1)[:, each_side]
    near[looked_at] = np.abs(bean_c[looked_at] - middle) <= _SPIKE_C
    return near


def _not_stuck(time_s: Curve, bean_c: Curve) -> NDArray[np.bool_]:
    """Of a value that was stuck only the first is kept."""
    kept = np.ones(len(bean_c), dtype=np.bool_)
    steps_c = np.diff(bean_c)
    ends = np.flatnonzero(steps_c)
    begins = np.concatenate(([0], ends + 1))[: len(ends)]
    lasted_s = time_s[ends] - time_s[begins]
    for k in np.flatnonzero((lasted_s >= _STUCK_S) & (np.abs(steps_c[ends]) >= _STUCK_LEAPS_C)):
        kept[begins[k] + 1 : ends[k] + 1] = False
    return kept
