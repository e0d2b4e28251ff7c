"""How far the bean probe lags, learned from the plunge at charge, and what that is worth."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

import numpy as np
from numpy.typing import NDArray

from roastside.core.rate import SECONDS_PER_MINUTE, Estimate
from roastside.core.smooth import Smoothed
from roastside.core.units import CELSIUS, Degrees

Curve = NDArray[np.float64]

_SHORTEST_S, _LONGEST_S = 2.0, 90.0
_GRID = 30

# Orders of magnitude, chosen and not fitted. How freely the slope of the bean temperature itself
# may wander (°C²/s³): after charge it falls by some 20 °C/min within a minute (0.002).
_WANDERING = np.geomspace(1e-6, 3e-3, 6)

_LASTING = ((0.02, 1.0), (0.2, 2.0), (0.1, 8.0), (0.3, 8.0))
"""Errors (°C) that last so long (s), beside the readings' white scatter: next to none, an adapter's
own filter, mains hum and rounding, and all that one lag can not follow."""

_STARTS_S = (3.0, 6.0, 9.0)
"""Seconds after the steepest fall. Before, beans are still pouring in, and a faster second lag
of the probe (its sheath) has not died away; what hangs on the choice widens the result."""

_AFTER_TURN_S = 60.0
_KNOT_S = 6.0
_BLOCK_S = 2.0
"""Readings are averaged over so long: matrices stay small at any sampling rate."""


# What one lag can not say of a probe that has several, or of a bed that is still being mixed.
_MODEL_SD_S = 1.0
_MODEL_SD_SHARE = 0.05

_NOT_ONE = "The plunge at charge does not fit one lag of the probe between 2 and 90 s."
_TOO_FEW = "There are too few readings between charge and a minute past the turning point."

_BEFORE_CHARGE_S = 10.0
_LEAST_FALL_C = 20.0
_LEAST_READINGS = 12
_LEAST_AFTER_TURN_S = 20.0
_LARGEST_SD_SHARE = 0.3
_LARGEST_WEIGHT_AT_END = 0.01
_UNLIKELY = 1e-4
_LEAST_NOISE_C = 0.05


@dataclass(frozen=True, slots=True)
class Lag:
    """The probe's time constant and its standard deviation, s.

    `from_s` is the stream time from which on the probe is believed to touch beans.
    """

    tau_s: float
    sd_s: float
    from_s: float

    def reads_low_c(self, rate_c_per_min: float) -> tuple[float, float]:
        """How far the probe reads below the beans at this rate, and the standard deviation, °C."""
        rate = rate_c_per_min / SECONDS_PER_MINUTE
        return self.tau_s * rate, self.sd_s * abs(rate)


@dataclass(frozen=True, slots=True)
class NoLag:
    """The plunge does not tell the lag; `reason` is a sentence for people."""

    reason: str


def probe_lag(
    time_s: Curve, bean_c: Curve, charge_s: float, turning_point_s: float | None
) -> Lag | NoLag:
    """The time constant of the bean probe, from the readings around charge.

    time_s, bean_c: shape (n,), finite, times rising; all times on the same clock. The probe is a
    first-order lag, T' = (B - T) / tau, on a bean temperature B whose slope performs a random
    walk (Wahba, "Spline Models for Observational Data", 1990). For each tau that is linear least
    squares (Golub and Pereyra, "The differentiation of pseudo-inverses and nonlinear least squares
    problems whose variables separate", SIAM J. Numer. Anal. 10, 1973). How freely B bends and how
    the readings err in the long run is averaged over by how likely it is.
    """
    if turning_point_s is None:
        return NoLag("The lag of the probe is told by a turning point, and there is none yet.")
    end_s = turning_point_s + _AFTER_TURN_S
    around = (time_s >= charge_s - _BEFORE_CHARGE_S) & (time_s <= end_s)
    times, values = _without_spikes(time_s[around], bean_c[around])
    if len(times) == 0 or times[-1] < turning_point_s + _LEAST_AFTER_TURN_S:
        return NoLag("The roast is not far enough past the turning point to tell the probe's lag.")
    steepest_s = _steepest_fall_s(times, values, turning_point_s)
    before, after = times <= steepest_s, times >= steepest_s + _STARTS_S[-1]
    if np.count_nonzero(after) < _LEAST_READINGS:
        return NoLag(_TOO_FEW)
    if np.max(values[before]) - np.min(values[after]) < _LEAST_FALL_C:
        return NoLag("The probe hardly fell at charge, so the plunge does not tell its lag.")
    return _fitted(times, values, steepest_s)


def lag_corrected(smoothed: Smoothed, lag: Lag) -> Curve:
    """Bean temperature without the probe's lag, T + tau T', °C; shape (n,) of the smoothed curve.

    NaN before the probe touches beans, where there is no bean temperature to be had.
    """
    corrected: Curve = smoothed.bean_c + lag.tau_s * smoothed.slope_c_per_s
    return np.where(smoothed.time_s < lag.from_s, np.nan, corrected)


def lag_corrected_now(estimate: Estimate, lag: Lag) -> tuple[float, float] | None:
    """Bean temperature without the probe's lag and its standard deviation, °C, for one reading.

    None before the probe touches beans. The errors of level and rate, which nearly always go the
    same way, are taken as if they always did: it errs on the wide side.
    """
    if estimate.time_s < lag.from_s:
        return None
    low_c, low_sd_c = lag.reads_low_c(estimate.rate_c_per_min)
    rate_sd = estimate.rate_sd / SECONDS_PER_MINUTE
    return estimate.bean_c + low_c, hypot(estimate.bean_sd_c + lag.tau_s * rate_sd, low_sd_c)


def worth(lag: Lag, rate_c_per_min: float, degrees: Degrees = CELSIUS) -> str:
    """What the lag-corrected curve says at this rate and how far to believe it, for people."""
    low_c, low_sd_c = lag.reads_low_c(rate_c_per_min)
    rate, low, low_sd = (x * degrees.per_c for x in (rate_c_per_min, low_c, low_sd_c))
    side, unit = "low" if low >= 0.0 else "high", degrees.unit
    return (
        f"Lag {lag.tau_s:.0f} ± {lag.sd_s:.0f} s: at {rate:.1f} {unit}/min the probe reads "
        f"{abs(low):.1f} ± {max(low_sd, 0.1):.1f} {unit} {side}. "
        "Compare roasts by this curve; hot air still makes it read high."
    )


def _without_spikes(times: Curve, values: Curve) -> tuple[Curve, Curve]:
    """Only readings near the median of the five around them; a plunge is its own median."""
    if len(values) < 5:
        return times, values
    five = np.lib.stride_tricks.sliding_window_view(np.pad(values, 2, mode="reflect"), 5)
    off_c = np.abs(values - np.median(five, axis=1))
    # 1.4826 times the median deviation is the standard deviation of normal errors.
    kept = off_c <= max(6.0 * 1.4826 * float(np.median(off_c)), 3.0)
    return times[kept], values[kept]


def _steepest_fall_s(times: Curve, values: Curve, before_s: float) -> float:
    """The middle of those four seconds in which the probe falls furthest."""
    fall_c = np.interp(times - 2.0, times, values) - np.interp(times + 2.0, times, values)
    fall_c[times > before_s] = -np.inf
    return float(times[np.argmax(fall_c)])


def _fitted(times: Curve, values: Curve, steepest_s: float) -> Lag | NoLag:
    """Look over all time constants, then closely at the likely ones.

    Both grids are even in the logarithm: the prior prefers no scale of time.
    """
    coarse = np.geomspace(_SHORTEST_S, _LONGEST_S, _GRID)
    weight = _posterior(times, values, steepest_s, coarse)
    if max(weight[0], weight[-1]) > _LARGEST_WEIGHT_AT_END:
        return NoLag(_NOT_ONE)
    likely, step = coarse[weight > _UNLIKELY], coarse[1] / coarse[0]
    fine = np.geomspace(likely[0] / step, likely[-1] * step, _GRID)
    weight = _posterior(times, values, steepest_s, fine)
    tau_s = float(weight @ fine)
    spread_s = float(np.sqrt(weight @ (fine - tau_s) ** 2))
    if spread_s > _LARGEST_SD_SHARE * tau_s:
        return NoLag(_NOT_ONE)
    sd_s = hypot(spread_s, _MODEL_SD_S, _MODEL_SD_SHARE * tau_s)
    return Lag(tau_s, sd_s, steepest_s + _STARTS_S[0])


def _posterior(times: Curve, values: Curve, steepest_s: float, taus_s: Curve) -> Curve:
    """How likely each time constant is, the starts of the fit being believed alike; sums to 1."""
    mixed: Curve = np.zeros(len(taus_s))
    for start_s in _STARTS_S:
        kept = times >= steepest_s + start_s
        at, level_c, variance = _in_blocks(times[kept] - steepest_s - start_s, values[kept])
        apart_s = np.abs(at[:, None] - at)
        errors = [
            np.diag(variance) + sd_c**2 * np.exp(-apart_s / memory_s) for sd_c, memory_s in _LASTING
        ]
        whiteners = [np.linalg.inv(np.linalg.cholesky(error)) for error in errors]
        log_evidence = np.array([_log_evidence(at, level_c, whiteners, tau) for tau in taus_s])
        weight = np.exp(log_evidence - log_evidence.max()).sum(axis=(1, 2))
        mixed += weight / weight.sum()
    mixed /= len(_STARTS_S)
    return mixed


def _in_blocks(at: Curve, values: Curve) -> tuple[Curve, Curve, Curve]:
    """Mean time, mean temperature less its overall mean, and variance of each block's readings."""
    off_c = values[1:-1] - 0.5 * (values[2:] + values[:-2])
    # For white errors of variance s² a second difference so halved has 1.5 s².
    scatter_c = max(1.4826 * float(np.median(np.abs(off_c))) / 1.5**0.5, _LEAST_NOISE_C)
    block_of = np.floor(at / _BLOCK_S)
    _, block, count = np.unique(block_of, return_inverse=True, return_counts=True)
    mean_s, mean_c = (np.bincount(block, what) / count for what in (at, values))
    return mean_s, mean_c - mean_c.mean(), scatter_c**2 / count


def _log_evidence(at: Curve, level_c: Curve, whiteners: list[Curve], tau_s: float) -> Curve:
    """Log of the restricted likelihood of one time constant, shape (errors, wanderings).

    X beta with beta = (T and B at the start, slope of B, its bends); the first three free, the
    bends normal (Harville, "Maximum likelihood approaches to variance component estimation",
    J. Am. Stat. Assoc. 72, 1977).
    """
    design = _design(at, tau_s)
    bends = np.arange(3, design.shape[1])
    bend_variance = _WANDERING * _KNOT_S
    result = np.empty((len(whiteners), len(bend_variance)))
    for k, whitener in enumerate(whiteners):
        white, target = whitener @ design, whitener @ level_c
        normal = np.repeat((white.T @ white)[None], len(bend_variance), axis=0)
        normal[:, bends, bends] += 1.0 / bend_variance[:, None]
        moment = white.T @ target
        moments = np.repeat(moment[None, :, None], len(bend_variance), axis=0)
        misfit = target @ target - np.linalg.solve(normal, moments)[..., 0] @ moment
        log_det = np.linalg.slogdet(normal)[1] + len(bends) * np.log(bend_variance)
        result[k] = np.log(np.diag(whitener)).sum() - 0.5 * (log_det + misfit)
    return result


def _design(at: Curve, tau_s: float) -> Curve:
    """What the probe makes of its start, and of each piece of the bean temperature."""
    decay = np.exp(-at / tau_s)
    corners = np.append(0.0, np.arange(_KNOT_S, at[-1] - 0.5 * _KNOT_S, _KNOT_S))
    since = np.maximum(at[:, None] - corners, 0.0)
    ramps = since - tau_s * (1.0 - np.exp(-since / tau_s))
    return np.column_stack([decay, 1.0 - decay, ramps])
