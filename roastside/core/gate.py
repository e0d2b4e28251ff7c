"""Which readings of a stream are wild, and when the curve is elsewhere after all."""

from __future__ import annotations

from collections import deque
from enum import Enum, auto
from math import inf

_SDS = 5.0
_INSIST_READINGS = 3
_INSIST_S = 1.5

_LEAPS = 2
_LASTING = 2.0
_NEIGHBOUR_S = 2.5
"""A spike of one or two readings can lie within what errors that last come to in the long run: if
they weigh so many times more than they scatter, it is told by how it leaps from a reading no
longer ago than this."""

_AT_ONCE = 0.5
"""What comes by less than this share of its distance from one reading to the next did not leap."""

_OFTEN, _OFTEN_S = 5, 90.0
"""Nothing leaps or breaks so many times in so short a time: it swings. A lid opened
and closed does so four times at most."""


class Verdict(Enum):
    """What is to be done with a reading."""

    BELIEVED = auto()
    WILD = auto()
    ELSEWHERE = auto()
    """The last readings insist: the curve is here, and what was known of its slope is wrong too."""
    LEAPT = auto()
    """They insist, and came there from one reading to the next: its slope may well be the same."""
    ADRIFT = auto()
    """They insist, again and again: errors last that are larger than was known."""


class Gate:
    """Judges each reading by how far off it is what was expected, °C."""

    def __init__(self) -> None:
        self.slope_c_per_s = 0.0
        """How fast the readings rise that insisted, once some did."""
        self._wild = 0
        self._wild_from = (0.0, 0.0)
        self._last_wild = (0.0, 0.0)
        self._leapt = 0
        self._last_off = (-inf, 0.0)
        self._believed = (-inf, 0.0)
        self._if_insisting = Verdict.ELSEWHERE
        self._insisted = deque((-inf,) * (_OFTEN - 1), maxlen=_OFTEN - 1)

    def judge(self, time_s: float, value_c: float, off_c: float, variance: float) -> Verdict:
        """`off_c` lies the reading off what was expected, whose variance, errors and all, is given.

        Wild are those more than five standard deviations off, until three of them over a second and
        a half agree with each other.
        """
        if off_c * off_c <= _SDS**2 * variance:
            self._wild = 0
            self._believed = time_s, off_c
            return Verdict.BELIEVED
        if self._wild == 0 or not self._agrees(off_c, value_c):
            self._wild = 0
            self._wild_from = time_s, value_c
            self._if_insisting = self._comes(time_s, off_c)
        self._wild += 1
        self._last_wild = off_c, value_c
        from_s, from_c = self._wild_from
        if self._wild < _INSIST_READINGS or time_s - from_s < _INSIST_S:
            return Verdict.WILD
        self._wild = 0
        self.slope_c_per_s = (value_c - from_c) / (time_s - from_s)
        self._believed = time_s, 0.0
        often = time_s - self._insisted[0] < _OFTEN_S
        self._insisted.append(time_s)
        return Verdict.ADRIFT if often else self._if_insisting

    def leaps(self, time_s: float, off_c: float, long_run: float, scatter: float) -> bool:
        """Whether a reading leaps from the last one as errors that last do not; twice at most.

        `long_run` is the variance as which errors count in the mean of many, `scatter` that of one
        against those beside it: where errors last, that is far less. °C².
        """
        last_s, last_off = self._last_off
        near = time_s - last_s < _NEIGHBOUR_S and long_run > _LASTING * scatter
        if near and self._leapt < _LEAPS and (off_c - last_off) ** 2 > _SDS**2 * 2.0 * scatter:
            self._leapt += 1
            return True
        self._leapt = 0
        self._last_off = time_s, off_c
        return False

    def _comes(self, time_s: float, off_c: float) -> Verdict:
        """How a reading came to lie so far off, should the next ones insist."""
        believed_s, believed_off_c = self._believed
        if time_s - believed_s >= _NEIGHBOUR_S:
            return Verdict.ELSEWHERE
        at_once = abs(off_c - believed_off_c) > _AT_ONCE * abs(off_c)
        return Verdict.LEAPT if at_once else Verdict.ELSEWHERE

    def _agrees(self, off_c: float, value_c: float) -> bool:
        """Whether a wild reading goes on from the one before: the same side, not far from it."""
        last_off, last_c = self._last_wild
        return off_c * last_off > 0.0 and abs(value_c - last_c) <= max(0.5 * abs(off_c), 1.0)
