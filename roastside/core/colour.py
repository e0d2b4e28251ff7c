"""Whether a probe's errors come one by one or wander together."""

from __future__ import annotations

from collections import deque
from statistics import median

_BLOCKS_S = (1.0, 2.0, 4.0, 8.0)
_REMEMBERED_BLOCKS = 40
_LEAST_BLOCKS = 8
_LONGEST_GAP = 2.5
"""Blocks further apart than this many of their lengths are no neighbours."""

_MEDIAN_OF_SQUARE = 0.4549
"""Median of the square of a standard normal: chi-squared with one degree of freedom."""

_CAUTION = 0.8
"""The largest of several estimates, each a third off at random, errs high by about this much."""

Point = tuple[float, float]


class Colour:
    """How much more a stream's errors weigh in the long run than their scatter suggests.

    White errors average out: the mean of n readings has a variance n times smaller than one. Hum
    of the mains seen through slow sampling, or an adapter that filters, wanders instead, and its
    means scatter more. So readings are gathered in blocks of one to eight seconds; the third
    difference of four blocks in a row, which no smooth curve has to speak of, is set against what
    white errors would leave, and the median taken over the last forty, so that a bend of the roast
    does not count. `factor`, at least 1, is by how much to multiply the variance of a reading.
    The idea is that of the Allan and Hadamard variances (Allan, "Statistics of Atomic Frequency
    Standards", Proc. IEEE 54, 1966).
    """

    def __init__(self) -> None:
        self._gatherings = tuple(_Gathering(span_s) for span_s in _BLOCKS_S)

    def update(self, time_s: float, value_c: float, white_variance: float) -> None:
        """Take in a reading and the variance its scatter suggests, °C²; times must not go back."""
        for gathering in self._gatherings:
            gathering.update(time_s, value_c, white_variance)

    def forget_neighbours(self) -> None:
        """What follows does not lie on a line with what went before (a plunge, a leap)."""
        for gathering in self._gatherings:
            gathering.begin()

    @property
    def factor(self) -> float:
        """At least 1."""
        return max(1.0, _CAUTION * max(gathering.factor for gathering in self._gatherings))


class _Gathering:
    """Blocks of one length."""

    def __init__(self, span_s: float) -> None:
        self._span_s = span_s
        self.factor = 1.0
        self._ratios: deque[float] = deque(maxlen=_REMEMBERED_BLOCKS)
        self.begin()

    def begin(self) -> None:
        self._count = 0
        self._since_s = self._sum_s = self._sum_c = 0.0
        self._blocks: deque[Point] = deque(maxlen=4)

    def update(self, time_s: float, value_c: float, white_variance: float) -> None:
        if self._count and time_s - self._since_s >= self._span_s:
            self._close(white_variance)
        if self._count == 0:
            self._since_s = time_s
            self._sum_s = self._sum_c = 0.0
        self._count += 1
        self._sum_s += time_s - self._since_s
        self._sum_c += value_c

    def _close(self, white_variance: float) -> None:
        count, blocks = self._count, self._blocks
        now = (self._since_s + self._sum_s / count, self._sum_c / count)
        self._count = 0
        if blocks and now[0] - blocks[-1][0] > _LONGEST_GAP * self._span_s:
            blocks.clear()
        blocks.append(now)
        if len(blocks) < 4 or count < 2:
            return
        weights = _third_difference(*(at for at, _ in blocks))
        found = sum(weight * value for weight, (_, value) in zip(weights, blocks, strict=True))
        expected = white_variance / count * sum(weight * weight for weight in weights)
        self._ratios.append(found * found / expected)
        if len(self._ratios) >= _LEAST_BLOCKS:
            self.factor = median(self._ratios) / _MEDIAN_OF_SQUARE


def _third_difference(*at_s: float) -> list[float]:
    """Weights of four values at uneven times that cancel every parabola."""
    weights = []
    for i, own_s in enumerate(at_s):
        product = 1.0
        for j, other_s in enumerate(at_s):
            if i != j:
                product *= own_s - other_s
        weights.append(1.0 / product)
    return weights
