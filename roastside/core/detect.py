"""Charge, turning point and drop, found in the readings."""

from __future__ import annotations

from collections import deque
from math import inf
from statistics import median

from roastside.core.onset import Depth, Plunge, onset_s
from roastside.core.rate import RateFilter

_KNEE_C = 0.75
"""A reading this close to the level before a plunge still belongs to it."""

_SINKING_OVER_S = 2.0

_FALLEN_READINGS = 3
_FALLEN_S = 1.0
"""A fall that is over sooner was two wild readings in a row."""

_HELD_READINGS = 3
"""So many calm readings make a level to fall from: after wild ones that came in pairs, one pair
soon after the other, even the median of five is wild for a reading or two."""

_SUSPECT = 0.4
"""Share of a plunge from which on it is suspected."""

# A charge is a fall of 10 °C in 15 s from a hot probe: faster than an empty roaster cools, far
# slower than a plunge into cold beans (common practice, no source).
_CHARGE_FALL_C = 10.0
_CHARGE_WITHIN_S = 15.0
_CHARGE_FROM_C = 80.0

# Beans come at room temperature and the probe settles a little above them, in warming beans.
_CHARGE_DEPTH = Depth(0.8, 0.2)

# A drop is a fall of 5 °C in 20 s from the hottest moment of the roast.
_DROP_FALL_C = 5.0
_DROP_WITHIN_S = 20.0
_DROP_FROM_C = 150.0

# Emptied, the probe hangs in air that may cool little or much.
_DROP_DEPTH = Depth(0.5, 0.3)

_KEPT_S = 30.0
"""The level before a plunge is looked for so far back."""

_TURN_NOT_BEFORE_S = 15.0
_TURN_RISE_C = 1.0
_TURN_FIT_S = 12.0

Point = tuple[float, float]


class _Calm:
    """Readings as medians of five, so that two wild ones among them do not count.

    Leaps no probe can make are judged before (`leaps.LeapJudge`) and do not come here.
    """

    def __init__(self) -> None:
        self._last: deque[Point] = deque(maxlen=5)

    def update(self, time_s: float, bean_c: float) -> Point | None:
        """Take in a reading; the calm one two before it, None if there is none yet."""
        self._last.append((time_s, bean_c))
        if len(self._last) < 5:
            return None
        return self._last[2][0], median(value for _, value in self._last)


class PlungeDetector:
    """Finds the moment at which a hot probe begins to fall fast.

    A probe lags, so the moment is not the one from which on the fall shows but that of its cause
    (`onset`). `suspects` is true while a plunge may have begun that is not sure yet.
    """

    def __init__(
        self,
        fall_c: float,
        within_s: float,
        from_c: float,
        depth: Depth,
        like: Plunge | None = None,
    ) -> None:
        self._fall_c = fall_c
        self._within_s = within_s
        self._from_c = from_c
        self._depth = depth
        self._like = like
        self.suspects = False
        self._calm = _Calm()
        self._kept: deque[Point] = deque()
        self._window: deque[Point] = deque()
        self._latest: deque[float] = deque(maxlen=_HELD_READINGS)
        self._levels: deque[Point] = deque()
        self._fallen = 0
        self._fallen_s = 0.0

    def update(self, time_s: float, bean_c: float) -> float | None:
        """Take in a reading; the time of the plunge (stream seconds) once it is plain."""
        calm = self._calm.update(time_s, bean_c)
        if calm is None:
            return None
        calm_at_s, calm_c = calm
        self._latest.append(calm_c)
        for points, point, back_s in (
            (self._kept, calm, _KEPT_S),
            (self._window, calm, self._within_s),
            (self._levels, (calm_at_s, min(self._latest)), self._within_s),
        ):
            points.append(point)
            while points[0][0] < calm_at_s - back_s:
                points.popleft()
        top_c = max(value for _, value in self._levels)
        fall_c = top_c - calm_c if top_c >= self._from_c else 0.0
        self.suspects = fall_c >= _SUSPECT * self._fall_c
        if fall_c < self._fall_c:
            self._fallen = 0
            return None
        if self._fallen == 0:
            self._fallen_s = calm_at_s
        self._fallen += 1
        lasts = self._fallen >= _FALLEN_READINGS and calm_at_s - self._fallen_s >= _FALLEN_S
        if not lasts:
            return None
        return onset_s(self._kept, _knee_s(list(self._window)), self._depth, self._like)


def _knee_s(window: list[Point]) -> float:
    """The last moment before the fall at the end of the window shows.

    Going back from the end, the fall lasts while the curve sinks at a quarter of its steepest or
    more; so a slow drift before it does not count.
    """
    sinking = _sinking_c_per_s(window)
    steepest = max(sinking)
    k = sinking.index(steepest)
    while k > 0 and sinking[k - 1] >= steepest / 4.0:
        k -= 1
    level_c = window[k][1]
    while k + 1 < len(window) and window[k + 1][1] >= level_c - _KNEE_C:
        k += 1
    return window[k][0]


def _sinking_c_per_s(window: list[Point]) -> list[float]:
    """How fast the curve sinks from each point on, looking about two seconds ahead."""
    result = []
    j = 1
    for i, (at, value) in enumerate(window[:-1]):
        j = max(j, i + 1)
        while j < len(window) - 1 and window[j][0] - at < _SINKING_OVER_S:
            j += 1
        result.append((value - window[j][1]) / max(window[j][0] - at, 1e-3))
    return result


def charge_detector(like: Plunge | None = None) -> PlungeDetector:
    """A plunge of the preheated probe into cold beans. `like`: that of the reference."""
    return PlungeDetector(_CHARGE_FALL_C, _CHARGE_WITHIN_S, _CHARGE_FROM_C, _CHARGE_DEPTH, like)


def drop_detector() -> PlungeDetector:
    """The fall of the probe once the beans have left it."""
    return PlungeDetector(_DROP_FALL_C, _DROP_WITHIN_S, _DROP_FROM_C, _DROP_DEPTH)


class TurningPointDetector:
    """Finds the lowest point after charge once the bean curve plainly rises again.

    It smooths for itself, without a reference, so that what it finds never hangs on how a
    reference is laid.
    """

    def __init__(self, charge_s: float) -> None:
        self._charge_s = charge_s
        self._calm = _Calm()
        self._filter = RateFilter(charge_s)
        self._points: list[Point] = []
        self._lowest: Point | None = None
        self._lowest_calm_c = inf

    def update(self, time_s: float, bean_c: float) -> float | None:
        """Take in a reading; the turning point (stream seconds) once it is sure.

        The lowest smoothed value gives the place, a parabola through the readings around it
        (least squares) the time.
        """
        calm = self._calm.update(time_s, bean_c)
        if calm is None:
            return None
        self._points.append(calm)
        calm_at_s, calm_c = calm
        estimate = self._filter.update(calm_at_s, calm_c)
        smooth_c = calm_c if estimate is None else estimate.bean_c
        if self._lowest is None or smooth_c < self._lowest[1]:
            self._lowest = (calm_at_s, smooth_c)
        # Wild readings in the plunge throw the smooth curve below the readings, and it comes back
        # up to them while they still fall.
        falls = calm_c <= self._lowest_calm_c
        self._lowest_calm_c = min(self._lowest_calm_c, calm_c)
        risen = smooth_c - self._lowest[1] >= _TURN_RISE_C
        if falls or not risen or time_s - self._charge_s < _TURN_NOT_BEFORE_S:
            return None
        around = [
            (at - self._lowest[0], value)
            for at, value in self._points
            if abs(at - self._lowest[0]) <= _TURN_FIT_S
        ]
        vertex = _vertex(around)
        return self._lowest[0] if vertex is None else self._lowest[0] + vertex


def _vertex(points: list[Point]) -> float | None:
    """Abscissa of the lowest point of the least-squares parabola, None if there is none inside."""
    if len(points) < 5:
        return None
    import numpy as np

    x = np.array([p[0] for p in points])
    curve, slope, _ = np.polyfit(x, np.array([p[1] for p in points]), 2)
    if curve <= 0.0:
        return None
    vertex = float(-slope / (2.0 * curve))
    return vertex if x[0] <= vertex <= x[-1] else None
