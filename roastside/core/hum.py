"""Hum: a slow wave on the readings, as mains hum becomes when it is sampled."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, pi

import numpy as np
from numpy.typing import NDArray

from roastside.core.jerk import Curve

_SHORTEST_S = 4.2
_LONGEST_S = 42.0
"""Waves in between are looked for. Slower ones can not be told from a roast."""

_STANDS_OUT = 14.0
"""How far a line rises above its surroundings: by chance once in 10,000 roasts (exp −14 × 100)."""

_WIDTH_HZ = 0.016
_NEARBY = 41
_FEWEST = 60
_CLIP_SDS = 3.0
_GAP_INTERVALS = 1.75


@dataclass(frozen=True, slots=True)
class Hum:
    """About how fast a wave is (Hz), and the variance it adds to the readings (°C²)."""

    frequency_hz: float
    variance: float


def find_hum(
    time_s: Curve, level_c: Curve, interval_s: float, calm: NDArray[np.bool_]
) -> Hum | None:
    """The hum on levels about `interval_s` apart, if there is any; arrays of shape (n,).

    Only the levels that are `calm` are asked. In third differences a roast all but vanishes; a
    line in their spectrum that stands out above its surroundings is hum.
    """
    if np.count_nonzero(calm) < _FEWEST:
        return None
    even_s = np.arange(time_s[calm][0], time_s[calm][-1], interval_s)
    third = np.diff(np.interp(even_s, time_s[calm], level_c[calm]), 3)
    count = len(third)
    most = _CLIP_SDS * 1.48 * float(np.median(np.abs(third)))
    third[_torn(even_s, time_s, interval_s)] = 0.0
    taper = np.sqrt(8.0 / 3.0) * np.sin(pi * (np.arange(count) + 0.5) / count) ** 2
    power = np.abs(np.fft.rfft(np.clip(third, -most, most) * taper)) ** 2 / count
    frequency = np.fft.rfftfreq(count, interval_s)
    around = np.lib.stride_tricks.sliding_window_view(
        np.pad(power, _NEARBY // 2, mode="reflect"), _NEARBY
    )
    # Power is exponentially distributed, and its median log 2 of its mean.
    surroundings = np.maximum(np.median(around, axis=1) / log(2.0), 1e-14)
    within = (frequency > 1.0 / _LONGEST_S) & (frequency < 1.0 / _SHORTEST_S)
    rises = np.where(within, power / surroundings, 0.0)
    peak = int(np.argmax(rises))
    if rises[peak] < _STANDS_OUT:
        return None
    line = within & (np.abs(frequency - frequency[peak]) <= _WIDTH_HZ)
    differencing = (2.0 * np.sin(pi * frequency[line] * interval_s)) ** 6
    excess = np.maximum(power - surroundings, 0.0)[line] / differencing
    return Hum(float(frequency[peak]), 2.0 * float(np.sum(excess)) / count)


def _torn(even_s: Curve, time_s: Curve, interval_s: float) -> NDArray[np.bool_]:
    """Which third differences of evenly spaced levels touch a gap between the true times."""
    following = np.clip(np.searchsorted(time_s, even_s), 1, len(time_s) - 1)
    in_gap = time_s[following] - time_s[following - 1] > _GAP_INTERVALS * interval_s
    torn: NDArray[np.bool_] = np.convolve(in_gap, np.ones(4), "valid") > 0.0
    return torn
