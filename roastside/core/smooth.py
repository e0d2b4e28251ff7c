"""Smoothing of a finished roast: no lag, because the future is known."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roastside.core.blocks import BLOCK_S, Blocks, between, bridged, gather
from roastside.core.freedom import smoothest
from roastside.core.hum import find_broad_hum, find_hum
from roastside.core.humming import lasting_told, smoothest_beside
from roastside.core.jerk import UNSEEN, Curve, Smooth
from roastside.core.lasting import long_run_variance

__all__ = ["Curve", "Smoothed", "smooth_roast"]

_CALM_AFTER_S = 30.0
"""The noise is studied from so long after the turning point on."""

_SURELY_HUM = 5.0
"""Log likelihood by which hum without a line must do better. Of 440 roasts (benchmarks/smoother.py)
none without hum came to more than 3.3, and of 18 humming ones that had no line 15 to 8.7 and more
(the others below 0, and hardly worse for it): what lies between hardly matters."""


@dataclass(frozen=True, slots=True)
class Smoothed:
    """Time (s), bean temperature (°C), slope (°C/s) and the standard deviations of both.

    `seen`: whether there was a reading at that time. Six arrays of one length n.
    """

    time_s: Curve
    bean_c: Curve
    slope_c_per_s: Curve
    bean_sd_c: Curve
    slope_sd_c_per_s: Curve
    seen: NDArray[np.bool_]

    @property
    def doubt_c(self) -> Curve:
        """How unsure the curve is where readings were missing for long, °C (sd); 0 elsewhere."""
        doubt_c: Curve = np.where(self.seen, 0.0, self.bean_sd_c)
        return doubt_c


def smooth_roast(
    time_s: Curve, bean_c: Curve, charge_s: float, *, through_gaps: bool = False
) -> Smoothed:
    """The most likely curve behind a roast's readings from charge on, at the readings' times.

    With `through_gaps` also every few seconds where readings are missing for long.

    time_s, bean_c: shape (n,), finite, time not going back; `charge_s` on the same clock.
    Everything is learned from the readings: spikes, noise, rounding and hum (`blocks.py`,
    `hum.py`, `lasting.py`), and how freely the curve bends from moment to moment (`freedom.py`).
    Raises ValueError with fewer than four readings.
    """
    after = time_s >= charge_s
    times, values = time_s[after], bean_c[after]
    if len(times) < 4:
        raise ValueError("a curve needs at least four readings after charge")
    series = gather(times, values, charge_s)
    blocks = series.blocks()
    if series.coarse:
        first = smoothest(blocks.time_s, blocks.level_c, blocks.variance)
        blocks = series.blocks_about(blocks, first)
    known_s, smooth = _smoothest(blocks)
    read = times
    if through_gaps:
        times = np.sort(np.concatenate((times, np.setdiff1d(known_s, blocks.time_s))))
    level, slope = between(known_s, smooth, times)
    level_variance, slope_variance = (
        np.interp(times, known_s, variance)
        for variance in (smooth.level_variance, smooth.slope_variance)
    )
    sds = np.sqrt(level_variance), np.sqrt(slope_variance)
    return Smoothed(times, level, slope, *sds, np.isin(times, read))


def _smoothest(blocks: Blocks) -> tuple[Curve, Smooth]:
    """Times, gaps among them, and the curve there.

    Errors are taken for as lasting as they are, or hum is told apart from the curve.
    Errors that last may rise in a line of their spectrum as hum does, and hum may last as errors
    do: which it was is told by the likelihood of the whole series. Hum without a line must explain
    it better than everything else that is known to happen.
    """
    time_s, level_c, variance, calm = blocks.time_s, blocks.level_c, blocks.variance, _calm(blocks)
    interval_s = max(BLOCK_S, float(np.median(np.diff(time_s))))
    long_run, lasts = long_run_variance(time_s[calm], level_c[calm]), 1.0
    if long_run is not None:
        lasts = max(1.0, long_run / float(np.median(variance[calm])))
    whole = bridged(blocks)
    series = whole.time_s, whole.level_c, whole.variance
    alone = _allowing(*series, lasts)
    hum = find_hum(time_s, level_c, interval_s, calm)
    if hum is not None:
        beside = smoothest_beside(hum, *series)
        return whole.time_s, max(alone, beside, key=lambda found: found.told)
    hum = find_broad_hum(time_s, level_c, interval_s, calm)
    if hum is None:
        return whole.time_s, alone
    beside = smoothest_beside(hum, *series)
    rivals = [alone.told]
    if long_run is not None and lasts > 1.0:
        rivals += [smoothest(*series).told, lasting_told(*series, long_run, interval_s)]
    return whole.time_s, beside if beside.told > max(rivals) + _SURELY_HUM else alone


def _allowing(time_s: Curve, level_c: Curve, variance: Curve, lasts: float) -> Smooth:
    """The curve through levels whose errors last, and count so many times more than they scatter.

    Half minutes tell that to within a factor of two. So half as much is tried, too, and the curve
    is the likelier one; how unsure it is, is told as if they lasted as found.
    """

    def raised(times: float) -> Curve:
        seen = variance < UNSEEN
        return np.where(seen, times * variance, variance)

    found = smoothest(time_s, level_c, raised(lasts))
    half = max(1.0, 0.5 * lasts)
    if half == lasts:
        return found
    closer = smoothest(time_s, level_c, raised(half))
    if closer.told <= found.told:
        return found
    return replace(closer, level_variance=found.level_variance, slope_variance=found.slope_variance)


def _calm(blocks: Blocks) -> NDArray[np.bool_]:
    """Where the plunge is over."""
    lowest = int(np.argmin(blocks.level_c[: len(blocks.level_c) // 2 + 1]))
    calm: NDArray[np.bool_] = blocks.time_s > blocks.time_s[lowest] + _CALM_AFTER_S
    return calm
