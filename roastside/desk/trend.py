"""Whether figures drift with time: a robust slope, and whether chance would do as much."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import erfc, sqrt

import numpy as np
from numpy.typing import NDArray

_EXACT_UP_TO = 10


def theil_sen(x: NDArray[np.float64], y: NDArray[np.float64]) -> float:
    """The median of the slopes between all pairs of points; x, y: shape (n,).

    Theil, "A rank-invariant method of linear and polynomial regression analysis", Indagationes
    Mathematicae 12 (1950); Sen, "Estimates of the regression coefficient based on Kendall's tau",
    J. American Statistical Association 63 (1968). Points of the same x make no pair. Raises
    ValueError if there is no pair.
    """
    first, second = np.triu_indices(len(x), 1)
    run = x[second] - x[first]
    differ = run != 0.0
    if not differ.any():
        raise ValueError("a slope needs two different times")
    return float(np.median((y[second] - y[first])[differ] / run[differ]))


def mann_kendall(values: Sequence[float]) -> tuple[float, float]:
    """Kendall's tau of values in the order of time, and the probability of as much by chance.

    Two-sided. Mann, "Nonparametric tests against trend", Econometrica 13 (1945); Kendall, "Rank
    Correlation Methods" (1970): exactly up to ten values without ties, else by the normal
    approximation with corrections for ties and for continuity. Raises ValueError with fewer than
    three values.
    """
    n = len(values)
    if n < 3:
        raise ValueError("a trend needs three values")
    told = np.asarray(values, dtype=np.float64)
    first, second = np.triu_indices(n, 1)
    score = int(np.sign(told[second] - told[first]).sum())
    pairs = n * (n - 1) // 2
    ties = [count for count in Counter(told.tolist()).values() if count > 1]
    if n <= _EXACT_UP_TO and not ties:
        return score / pairs, _exact(n, abs(score))
    tied = sum(count * (count - 1) // 2 for count in ties)
    if tied == pairs:
        return 0.0, 1.0
    variance = (n * (n - 1) * (2 * n + 5) - sum(c * (c - 1) * (2 * c + 5) for c in ties)) / 18.0
    z = max(0, abs(score) - 1) / sqrt(variance)
    return score / sqrt(pairs * (pairs - tied)), erfc(z / sqrt(2.0))


def _exact(n: int, score: int) -> float:
    """The share of all orders of n values whose score is at least so far from nought."""
    orders = [1]  # by the number of pairs in the wrong order
    for count in range(2, n + 1):
        longer = [0] * (len(orders) + count - 1)
        for at, number in enumerate(orders):
            for more in range(count):
                longer[at + more] += number
        orders = longer
    pairs = n * (n - 1) // 2
    extreme = sum(number for wrong, number in enumerate(orders) if abs(pairs - 2 * wrong) >= score)
    return extreme / sum(orders)


def holm(probabilities: Sequence[float], level: float = 0.05) -> list[bool]:
    """Which of several tests hold, so that the chance of even one false alarm stays below `level`.

    Holm, "A simple sequentially rejective multiple test procedure", Scandinavian J. of Statistics 6
    (1979).
    """
    holds = [False] * len(probabilities)
    by_rank = sorted(range(len(probabilities)), key=lambda at: probabilities[at])
    for rank, at in enumerate(by_rank):
        if probabilities[at] > level / (len(probabilities) - rank):
            break
        holds[at] = True
    return holds
