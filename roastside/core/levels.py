"""Readings gathered in levels of two seconds each."""

from __future__ import annotations

from collections import deque

import numpy as np

from roastside.core.jerk import Curve
from roastside.core.wave_bank import STEP_S

MOST_LEVELS = 60
"""So many are kept: two minutes."""

_USUAL = 0.1
"""How much a level counts in how many readings are usual in one."""

_MOST_MISSED = 2
"""So many levels in a row without a reading (lost, or wild) are bridged by a straight line."""

_BRIDGED = 6
"""No more than one level in so many is bridged: more would make errors look as if they lasted."""

_SPARE = 0.75
"""A level is whole if the next reading, in so much of an interval, would be beyond it."""

_NOWHERE = (0.0, 0.0)


class Levels:
    """The means of readings over two seconds each, off an expected course if there is one."""

    def __init__(self) -> None:
        self.usual_readings = 1.0
        """How many readings there are in a level, more or less."""
        self.last_s = 0.0
        """When the last reading came, if one did."""
        self._any = self._beside = False
        self.begin()

    def begin(self) -> None:
        """What follows does not lie on a line with what went before."""
        self.closed = 0
        """How many levels there have been since then, also those not kept any more."""
        self._off: deque[float] = deque(maxlen=MOST_LEVELS)
        self._course: deque[float] = deque(maxlen=MOST_LEVELS)
        self._bridged: deque[bool] = deque(maxlen=MOST_LEVELS)
        self._missed = 0
        self._since_s: float | None = None
        self._empty()

    def __len__(self) -> int:
        return len(self._off)

    @property
    def end_s(self) -> float:
        """When the last level ended, or, without one, when the first begins."""
        return self.last_s if self._since_s is None else self._since_s

    def timed(self) -> list[tuple[float, float]]:
        """Time and value (°C) of the levels there are, off the course, the last one last."""
        if self._since_s is None:
            return []
        first_s = self._since_s - STEP_S * (len(self) - 0.5)
        return [(first_s + STEP_S * k, level_c) for k, level_c in enumerate(self._off)]

    def views(self, count: int) -> Curve:
        """The last `count` levels, °C: off the course, and beside that as they are if there is one.

        Shape (count, 1) or (count, 2).
        """
        off_c, course_c = np.array(self._off)[-count:], np.array(self._course)[-count:]
        return np.stack((off_c, off_c + course_c), axis=1) if self._beside else off_c[:, None]

    def update(
        self,
        time_s: float,
        value_c: float,
        *,
        slope_c_per_s: float | None = None,
        course: tuple[float, float] | None = None,
    ) -> bool:
        """Take in a reading that is not wild; times must not go back.

        `slope_c_per_s`: about how fast it rises, if known. `course`: level (°C) and slope (°C/s)
        expected at this time. False, and nothing is taken in, if more is missing than can be
        bridged.
        """
        began, interval_s = self._any, min(time_s - self.last_s, STEP_S)
        self.last_s, self._any = time_s, True
        if not began:
            return True
        self._beside = course is not None
        course_c, course_slope = course or _NOWHERE
        slope = None if slope_c_per_s is None else slope_c_per_s - course_slope
        if self._since_s is None:
            # A reading stands in the middle of its interval: slow ones are one a level then.
            self._since_s = time_s - 0.5 * interval_s
        elif time_s - self._since_s >= STEP_S and not self._reaches(time_s, slope):
            return False
        self._count += 1
        self._sum_s += time_s - self._since_s
        self._sum_c += value_c - course_c
        self._course_now = time_s, course_c, course_slope
        if time_s - self._since_s + _SPARE * interval_s >= STEP_S:
            self._close(slope)
        return True

    def _reaches(self, time_s: float, slope: float | None) -> bool:
        """Close what is open before this reading, if no more is missing than can be bridged."""
        assert self._since_s is not None
        whole = int((time_s - self._since_s) / STEP_S)
        missed = whole - 1 if self._count else whole
        if missed:
            most = len(self) // _BRIDGED - sum(self._bridged)
            if missed > min(_MOST_MISSED, most):
                return False
        if self._count:
            self._close(slope)
        self._missed = missed
        self._since_s += missed * STEP_S
        return True

    def _empty(self) -> None:
        self._count = 0
        self._sum_s = self._sum_c = 0.0
        self._course_now = 0.0, 0.0, 0.0

    def _close(self, slope: float | None) -> None:
        assert self._since_s is not None
        self.usual_readings += _USUAL * (self._count - self.usual_readings)
        off_c, late_s = self._sum_c / self._count, self._sum_s / self._count - 0.5 * STEP_S
        if slope is None:
            slope = (off_c - self._off[-1]) / STEP_S if self._off else 0.0
        at_s, course_c, course_slope = self._course_now
        course_c -= course_slope * (at_s - self._since_s - 0.5 * STEP_S)
        off_c -= slope * late_s
        for still in range(self._missed + 1, 1, -1):
            last_off_c, last_course_c = self._off[-1], self._course[-1]
            off_step_c, course_step_c = off_c - last_off_c, course_c - last_course_c
            self._append(last_off_c + off_step_c / still, last_course_c + course_step_c / still)
            self._bridged[-1] = True
        self._append(off_c, course_c)
        self._missed = 0
        self._since_s += STEP_S
        self._empty()

    def _append(self, off_c: float, course_c: float) -> None:
        self.closed += 1
        self._off.append(off_c)
        self._course.append(course_c)
        self._bridged.append(False)
