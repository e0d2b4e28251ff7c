"""How far from their mean further repeats will lie: the corridor of a reference made of several."""

from __future__ import annotations

from math import sqrt

import numpy as np

from roastside.core.smooth import Curve

LEAST_CORRIDOR_C = 1.0
"""However well repeats agree, no roaster is asked to keep closer than this. A choice."""

USUAL_SPREAD_C = 1.0
USUAL_COUNTS_FOR = 4
"""Before any repeat is seen, a spread of one degree is expected, as sure as if it had been found
from four departures. Common practice, no source; so two roasts that happened to agree, or not, do
not make a corridor of nothing, or of ten degrees."""

_NORMAL_95 = 1.6448536269514722
_SMOOTH_OVER = 121
"""Points, of half a second: the spread is evened out over a minute."""


def corridor(departures_c: Curve, turned: int, known: Curve | None = None) -> Curve:
    """Half the width, °C, shape (m,), within which 9 of 10 further repeats lie at each moment.

    `departures_c`, shape (n, m): of n roasts from their mean at m moments; the turning point is at
    moment `turned`, before which the corridor is as wide as there. With the variance s² of n
    departures and n - 1 degrees of freedom, and a usual variance that counts for USUAL_COUNTS_FOR
    more, the half width is t · s · sqrt(1 + 1/n), t the 95 % point of Student's distribution: the
    prediction interval for one more (Gelman et al., Bayesian Data Analysis, 3rd edition, section
    3.2, for the conjugate prior and its predictive distribution). `known`, as `departures_c`:
    how much each departure counts, 1 at most; what the others come to then stands for it.
    """
    n = len(departures_c)
    freedom = n - 1 + USUAL_COUNTS_FOR
    counts = np.ones_like(departures_c) if known is None else known
    weights = counts[:, turned:] * n / np.sum(counts[:, turned:], axis=0)
    squares = np.sum(weights * departures_c[:, turned:] ** 2, axis=0)
    variance = _evened(squares + USUAL_COUNTS_FOR * USUAL_SPREAD_C**2) / freedom
    half = student_95(freedom) * np.sqrt(variance * (1.0 + 1.0 / n))
    wide = np.maximum(half, LEAST_CORRIDOR_C)
    return np.concatenate((np.full(turned, wide[0]), wide))


def student_95(freedom: int) -> float:
    """The 95 % point of Student's distribution, to 0.002 from five degrees of freedom on.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5.
    """
    x = _NORMAL_95
    return (
        x
        + (x**3 + x) / (4 * freedom)
        + (5 * x**5 + 16 * x**3 + 3 * x) / (96 * freedom**2)
        + (3 * x**7 + 19 * x**5 + 17 * x**3 - 15 * x) / (384 * freedom**3)
    )


def rms(values: Curve, weights: Curve) -> float:
    """The root of the mean square, each value counting by its weight."""
    return sqrt(float(np.average(values**2, weights=weights)))


def _evened(values: Curve) -> Curve:
    """A running mean with a soft window (Hann), which at the ends uses what there is."""
    window = np.hanning(min(_SMOOTH_OVER, len(values)) + 2)[1:-1]
    middle = len(window) // 2
    weights = np.convolve(np.ones_like(values), window)[middle : middle + len(values)]
    return np.convolve(values, window)[middle : middle + len(values)] / weights
