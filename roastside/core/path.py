"""Where the bean curve is heading: its expected temperature some seconds from now."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import exp

from roastside.core.air import nearing
from roastside.core.course import Course
from roastside.core.mixture import Pooled

_TREND_LASTS_S = 200.0
"""A departure's own slope is believed for about this long; then the departure just stays."""

_WANDER_ALONE = 3e-5
_WANDER_BESIDE = 4e-6
"""How freely the slope may yet wander, °C²/s³: the square root of it times a minute is what a hand
on the controls does (2.5 °C/min), or what it does beside a reference (1 °C/min)."""

_KEEPING_S = 20.0
"""Whether a roast keeps to its course is judged over so long, more or less: a moment's agreement,
as its slope crosses the course's, is none."""


@dataclass(frozen=True)
class Path:
    """The way ahead of an estimate.

    With a course, the curve is expected to bend where the course does, in part by time and in part
    (`by_place`, 0 to 1) by temperature; what departs from it goes on for a while. Without one the
    rate falls as beans near the air (see `air.py`); today's bend beside that is not carried on, for
    it made a forecast worse. `now` is the estimate at stream time `now_s`. `departs`, 0 to 1: how
    much of what a departing slope may do is to be expected of this one; see `Keeping`.
    """

    now_s: float
    now: Pooled
    course: Course | None = None
    place_s: float | None = None
    by_place: float = 0.0
    departs: float = 1.0

    def at(self, seconds: float) -> float:
        """Bean temperature (°C) expected `seconds` from now."""
        now = self.now
        if self.course is None:
            return now.x + nearing(now.x, now.v, seconds)[0]
        return now.x + self._climb(self.course, seconds) + self._trend * faded(seconds)

    def variance(self, seconds: float) -> float:
        """How unsure that is, °C²."""
        now = self.now
        if self.course is None:
            f, wander = nearing(now.x, now.v, seconds)[1], _WANDER_ALONE
        else:
            f, wander = faded(seconds), _WANDER_BESIDE
        slope = f * (2.0 * now.xv + f * now.vv) + wander * seconds * f * f / 3.0
        return now.xx + self.departs * slope

    def _climb(self, course: Course, seconds: float) -> float:
        """What the course gains in `seconds`, °C."""
        (by_time_c, _), place = self._begins
        climb = course.at(self.now_s + seconds)[0] - by_time_c
        if place is None or self.place_s is None:
            return climb
        there = course.at(self.place_s + seconds)[0] - place[0]
        return climb + self.by_place * (there - climb)

    @cached_property
    def _begins(self) -> tuple[tuple[float, float], tuple[float, float] | None]:
        """The course's temperature (°C) and slope (°C/s) now, by time and by temperature."""
        assert self.course is not None
        by_place = self.place_s is not None and self.by_place > 0.0
        place = self.course.at(self.place_s) if by_place and self.place_s is not None else None
        return self.course.at(self.now_s), place

    @cached_property
    def _off(self) -> float:
        """By how much the slope differs from the course's, °C/s."""
        (_, slope), place = self._begins
        if place is not None:
            slope += self.by_place * (place[1] - slope)
        return self.now.v - slope

    @cached_property
    def _trend(self) -> float:
        """What of that is believed: shrunk towards none by `stands_out`."""
        return self._off * self.stands_out

    @cached_property
    def stands_out(self) -> float:
        """How much the slope stands out from its own uncertainty against the course's, 0 to 1.

        Empirical Bayes with one observation, as James and Stein: the trend believed is this share
        of it, and so is the variance it keeps. 1 without a course.
        """
        if self.course is None:
            return 1.0
        square = self._off * self._off
        return square / (square + self.now.vv) if square > 0.0 else 0.0


class Keeping:
    """Whether a roast keeps to its course, as its paths of the last half minute tell.

    One that has kept to it will most likely keep to it for another minute: neither does the
    uncertainty of its slope count for more than it stands out, nor how freely it may yet wander.
    """

    def __init__(self) -> None:
        self.begin()

    def begin(self) -> None:
        """Nothing is known of this roast yet."""
        self._at_s = 0.0
        self._sum = self._count = 0.0

    def allowing(self, path: Path) -> Path:
        """The same path, with `departs` from it and those before. Times must not go back."""
        if path.course is None:
            return path
        kept = exp((self._at_s - path.now_s) / _KEEPING_S)
        self._at_s = path.now_s
        self._sum = kept * self._sum + path.stands_out
        self._count = kept * self._count + 1.0
        return replace(path, departs=self._sum / self._count)


def faded(seconds: float) -> float:
    """How many seconds' worth of today's trend a departure still gains in `seconds`."""
    return _TREND_LASTS_S * (1.0 - exp(-seconds / _TREND_LASTS_S))
