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

_STANDS_OUT_BROADLY = 8.0
"""Far more than by chance, and far less than hum of a tenth of a degree; a choice."""

_ROASTS_JERK = 1e-7
"""How freely a roast bends after the turning point, °C²/s⁵ (see `freedom.JERKS`); a choice."""

_OF_THIRD_DIFFERENCES = 0.55
"""Third differences of a curve of unit jerk one second apart have the variance 11/20, the integral
of the squared quadratic B-spline (de Boor, "A Practical Guide to Splines", chapter IX)."""

_BROAD_HZ = 0.006
_WIDTH_HZ = 0.016
_LEAST_RESPONSE = 1e-12
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
    spectrum = _spectrum(time_s, level_c, interval_s, calm)
    if spectrum is None:
        return None
    around = np.lib.stride_tricks.sliding_window_view(
        np.pad(spectrum.power, _NEARBY // 2, mode="reflect"), _NEARBY
    )
    # Power is exponentially distributed, and its median log 2 of its mean.
    surroundings = np.maximum(np.median(around, axis=1) / log(2.0), 1e-14)
    return spectrum.highest(surroundings, spectrum.power / surroundings, _STANDS_OUT)


def find_broad_hum(
    time_s: Curve, level_c: Curve, interval_s: float, calm: NDArray[np.bool_]
) -> Hum | None:
    """The likeliest place of hum whose line is none, as its frequency strays; as `find_hum`.

    Slow hum that strays rises above its surroundings nowhere, being its own surroundings. So it is
    held against what white errors and a roast come to, over some width. That much may also come of
    errors that last, and of a roast: whether it is hum is for the whole series to tell.
    """
    spectrum = _spectrum(time_s, level_c, interval_s, calm)
    if spectrum is None:
        return None
    frequency, power, response = spectrum.frequency_hz, spectrum.power, spectrum.response
    faster = slice(len(frequency) // 2, None)
    errors = float(np.median(power[faster] / response[faster])) / log(2.0)
    expected = errors * response + _ROASTS_JERK * interval_s**5 * _OF_THIRD_DIFFERENCES
    # Means over so many frequencies to either side, fewer at the ends.
    places, reach = np.arange(len(frequency)), int(_BROAD_HZ / frequency[1])
    begins = np.maximum(places - reach, 0)
    ends = np.minimum(places + reach + 1, len(frequency))
    summed = np.concatenate(([0.0], np.cumsum(power / expected)))
    rises = (summed[ends] - summed[begins]) / (ends - begins)
    return spectrum.highest(expected, rises, _STANDS_OUT_BROADLY)


@dataclass(frozen=True, slots=True)
class _Spectrum:
    """Power of third differences by frequency (Hz), and how differencing changes power."""

    frequency_hz: Curve
    power: Curve
    response: Curve
    count: int

    def highest(self, surroundings: Curve, rises: Curve, least: float) -> Hum | None:
        """The hum where `rises` is highest, with all power beyond the surroundings near it."""
        frequency = self.frequency_hz
        within = (frequency > 1.0 / _LONGEST_S) & (frequency < 1.0 / _SHORTEST_S)
        rises = np.where(within, rises, 0.0)
        peak = int(np.argmax(rises))
        if rises[peak] < least:
            return None
        line = within & (np.abs(frequency - frequency[peak]) <= _WIDTH_HZ)
        excess = np.maximum(self.power - surroundings, 0.0)[line] / self.response[line]
        return Hum(float(frequency[peak]), 2.0 * float(np.sum(excess)) / self.count)


def _spectrum(
    time_s: Curve, level_c: Curve, interval_s: float, calm: NDArray[np.bool_]
) -> _Spectrum | None:
    """The spectrum of the calm levels; None if there are too few of them."""
    if np.count_nonzero(calm) < _FEWEST:
        return None
    even_s = np.arange(time_s[calm][0], time_s[calm][-1], interval_s)
    third = np.diff(np.interp(even_s, time_s[calm], level_c[calm]), 3)
    count = len(third)
    most = _CLIP_SDS * 1.48 * float(np.median(np.abs(third)))
    third[_torn(even_s, time_s, interval_s)] = 0.0
    taper = np.sqrt(8.0 / 3.0) * np.sin(pi * (np.arange(count) + 0.5) / count) ** 2
    power = np.abs(np.fft.rfft(np.clip(third, -most, most) * taper)) ** 2 / count
    frequency = np.fft.rfftfreq(count, interval_s).astype(np.float64)
    response = np.maximum((2.0 * np.sin(pi * frequency * interval_s)) ** 6, _LEAST_RESPONSE)
    return _Spectrum(frequency, power, response, count)


def _torn(even_s: Curve, time_s: Curve, interval_s: float) -> NDArray[np.bool_]:
    """Which third differences of evenly spaced levels touch a gap between the true times."""
    following = np.clip(np.searchsorted(time_s, even_s), 1, len(time_s) - 1)
    in_gap = time_s[following] - time_s[following - 1] > _GAP_INTERVALS * interval_s
    torn: NDArray[np.bool_] = np.convolve(in_gap, np.ones(4), "valid") > 0.0
    return torn
