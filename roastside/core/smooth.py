"""Smoothing of a finished roast: no lag, because the future is known."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

import numpy as np
from numpy.typing import NDArray

from roastside.core.noise import NoiseMeter
from roastside.core.rate import PROBE_LAG_S
from roastside.core.tracker import State, Tracker

Curve = NDArray[np.float64]

_Q_STEADY = 3e-5
_Q_PLUNGE = 4.0
_SPIKE_SDS = 5.0


@dataclass(frozen=True, slots=True)
class Smoothed:
    """Time (s), bean temperature (°C) and slope (°C/s); three arrays of one length n."""

    time_s: Curve
    bean_c: Curve
    slope_c_per_s: Curve


def smooth_roast(time_s: Curve, bean_c: Curve, charge_s: float) -> Smoothed:
    """The most likely curve behind a roast's readings from charge on.

    time_s, bean_c: shape (n,), finite, time not going back; `charge_s` on the same clock.
    A fixed-interval smoother (Rauch, Tung and Striebel, "Maximum likelihood estimates of linear
    dynamic systems", AIAA Journal 3, 1965) on an integrated random walk whose freedom dies away
    after the plunge at charge. Readings more than five standard deviations off are left out and
    the pass repeated. Raises ValueError with fewer than four readings.
    """
    after = time_s >= charge_s
    times, values = time_s[after], bean_c[after]
    if len(times) < 4:
        raise ValueError("a curve needs at least four readings after charge")
    noise = NoiseMeter()
    for at, value in zip(times.tolist(), values.tolist(), strict=True):
        noise.update(at, value)
    variance = np.full(len(times), noise.sd_c**2)
    level, slope = _pass(times, values, variance, charge_s)
    spikes = np.abs(values - level) > _SPIKE_SDS * noise.sd_c
    # The first seconds after charge bend too sharply for a test by neighbours alone.
    spikes &= times > charge_s + PROBE_LAG_S
    if spikes.any():
        variance[spikes] = 1e6
        level, slope = _pass(times, values, variance, charge_s)
    return Smoothed(times, level, slope)


def _pass(times: Curve, values: Curve, variance: Curve, charge_s: float) -> tuple[Curve, Curve]:
    """One forward filter and backward smoother; returns level and slope, shape (n,) each.

    The 2 × 2 algebra is written out in plain floats: on so small a system numpy's calls cost
    thirty times the arithmetic.
    """
    at = times.tolist()
    tracker = Tracker(at[0], float(values[0]), 4.0 * float(variance[0]), 8.0**2)
    predicted: list[State] = []
    filtered: list[State] = []
    for time_s, value, error in zip(at, values.tolist(), variance.tolist(), strict=True):
        q = _Q_PLUNGE * exp(-2.0 * (time_s - charge_s) / PROBE_LAG_S) + _Q_STEADY
        tracker.predict(time_s, q)
        predicted.append(tracker.state)
        tracker.update(value, error)
        filtered.append(tracker.state)
    level, slope = filtered[-1][0], filtered[-1][1]
    levels, slopes = [level], [slope]
    for k in range(len(at) - 2, -1, -1):
        dt = at[k + 1] - at[k]
        x, v, a, b, c = filtered[k]
        px, pv, pa, pb, pc = predicted[k + 1]
        determinant = pa * pc - pb * pb
        a_moved, b_moved = a + dt * b, b + dt * c
        off_level, off_slope = level - px, slope - pv
        u = (pc * off_level - pb * off_slope) / determinant
        w = (pa * off_slope - pb * off_level) / determinant
        level = x + a_moved * u + b * w
        slope = v + b_moved * u + c * w
        levels.append(level)
        slopes.append(slope)
    return np.array(levels[::-1]), np.array(slopes[::-1])
