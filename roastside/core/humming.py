"""A roast and the hum upon it, told apart."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import pi

import numpy as np

from roastside.core.freedom import JERKS, jerk_told, through_gaps, turned_round
from roastside.core.hum import Hum
from roastside.core.jerk import BEGINNING, Curve, Smooth

_FASTER = (0.8, 0.9, 1.0, 1.1)
"""Where the hum may really lie: third differences make the faster part of a broad line higher."""

_LARGER = (2.0, 20.0)
"""By how much its variance may exceed what the line shows: part is lost in the surroundings, and of
a wave hardly longer than two blocks most is lost in the blocks."""

_LASTS_S = 80.0
"""For so long a wave keeps its phase, more or less. A choice; little hangs on it."""

_FADES_S = (2.0, 5.0, 12.0)
_LASTING_LARGER = (0.4, 1.0, 2.5, 6.0)
_LEAST_LASTING = 0.2
"""Errors that last are tried with these lives, and these sizes about what half minutes tell."""

_SEEN = np.array([1.0, 0.0, 0.0, 1.0, 0.0])
"""A reading is the level and the wave's first part."""


def smoothest_beside(hum: Hum, time_s: Curve, value: Curve, variance: Curve) -> Smooth:
    """As `freedom.smoothest`, for values on which there is a hum; arrays of shape (n,).

    Beside level, slope and acceleration the state holds a wave: two numbers that turn by its
    frequency, fade, and are stirred anew by noise, so that its size and phase may drift (Harvey,
    "Forecasting, Structural Time Series Models and the Kalman Filter", 1989, section 2.3.4).
    """
    back_s, back, errs = -time_s[::-1], value[::-1], variance[::-1]
    models = [
        _model(back_s, faster * hum.frequency_hz, larger * hum.variance)
        for faster in _FASTER
        for larger in _LARGER
    ]
    told = _log_likelihoods(models, back, errs)
    found = [(*jerk_told(back_s, each), model) for each, model in zip(told, models, strict=True)]
    jerk, likelihood, model = max(found, key=lambda one: one[1])
    smooth = _smooth(model, back, errs, through_gaps(jerk, errs))
    return turned_round(smooth, likelihood)


def lasting_told(
    time_s: Curve, value: Curve, variance: Curve, long_run: float, interval_s: float
) -> float:
    """How likely errors that last make the same values, as `Smooth.told` for the hum.

    `long_run`: the variance of the errors as it counts in a mean of many, of values about
    `interval_s` apart. An error that fades within seconds is a wave that does not turn.
    """
    back_s, back, errs = -time_s[::-1], value[::-1], variance[::-1]
    white = float(np.median(variance))
    beyond = max(long_run - white, _LEAST_LASTING * white)
    models = [
        _model(back_s, 0.0, larger * beyond * interval_s / (2.0 * fades_s), fades_s)
        for fades_s in _FADES_S
        for larger in _LASTING_LARGER
    ]
    told = _log_likelihoods(models, back, errs)
    return max(jerk_told(back_s, each)[1] for each in told)


@dataclass(frozen=True, slots=True)
class _Model:
    """How the state moves up to each time, (n, 5, 5): by itself, by unit jerk, and by the wave."""

    moved: Curve
    jolted: Curve
    stirred: Curve
    beginning: Curve


def _model(
    time_s: Curve, frequency_hz: float, wave_variance: float, lasts_s: float = _LASTS_S
) -> _Model:
    dt = np.diff(time_s, prepend=time_s[0])
    moved, jolted, stirred = (np.zeros((len(dt), 5, 5)) for _ in range(3))
    moved[:, range(3), range(3)] = 1.0
    moved[:, 0, 1] = moved[:, 1, 2] = dt
    moved[:, 0, 2] = 0.5 * dt**2
    kept, turn = np.exp(-dt / lasts_s), 2.0 * pi * frequency_hz * dt
    moved[:, 3, 3] = moved[:, 4, 4] = kept * np.cos(turn)
    moved[:, 3, 4] = kept * np.sin(turn)
    moved[:, 4, 3] = -moved[:, 3, 4]
    jolted[:, 0, 0] = dt**5 / 20.0
    jolted[:, 0, 1] = jolted[:, 1, 0] = dt**4 / 8.0
    jolted[:, 0, 2] = jolted[:, 2, 0] = dt**3 / 6.0
    jolted[:, 1, 1] = dt**3 / 3.0
    jolted[:, 1, 2] = jolted[:, 2, 1] = dt**2 / 2.0
    jolted[:, 2, 2] = dt
    stirred[:, 3, 3] = stirred[:, 4, 4] = wave_variance * (1.0 - kept**2)
    return _Model(moved, jolted, stirred, np.diag((*BEGINNING, wave_variance, wave_variance)))


def _log_likelihoods(models: Sequence[_Model], value: Curve, variance: Curve) -> Curve:
    """How well each value was foretold by m models, each under JERKS: shape (m, n, 9).

    As `jerk.log_likelihood`, for all at once.
    """
    moves = np.stack([model.moved for model in models], axis=1)[:, :, None]
    jolts = np.stack([model.jolted for model in models], axis=1)[:, :, None]
    stirs = np.stack([model.stirred for model in models], axis=1)[:, :, None]
    x = np.zeros((len(models), len(JERKS), 5))
    x[:, :, 0] = value[0]
    p = np.stack([model.beginning for model in models])[:, None].repeat(len(JERKS), axis=1)
    told = np.zeros((len(models), len(value), len(JERKS)))
    for k, (seen, error) in enumerate(zip(value, variance, strict=True)):
        x = (moves[k] @ x[..., None])[..., 0]
        # For all values at once this would take a gigabyte of a recording of a whole day.
        noise = JERKS[:, None, None] * jolts[k] + stirs[k]
        p = moves[k] @ p @ moves[k].swapaxes(-1, -2) + noise
        shared = p @ _SEEN
        total = shared @ _SEEN + error
        off = seen - x @ _SEEN
        if k > 2:
            told[:, k] = -0.5 * (off * off / total + np.log(total))
        gain = shared / total[..., None]
        x = x + gain * off[..., None]
        p = p - gain[..., :, None] * shared[..., None, :]
    return told


def _smooth(model: _Model, value: Curve, variance: Curve, jerk: Curve) -> Smooth:
    """As `jerk.smooth`, in matrices."""
    x, p = value[0] * np.eye(5)[0], model.beginning
    steps = []
    for k, (seen, error) in enumerate(zip(value, variance, strict=True)):
        moved = model.moved[k]
        x, p = moved @ x, moved @ p @ moved.T + jerk[k] * model.jolted[k] + model.stirred[k]
        shared = p @ _SEEN
        total = shared @ _SEEN + error
        off, gain = seen - x @ _SEEN, shared / total
        steps.append((x, p, off, total, gain))
        x, p = x + gain * off, p - np.outer(gain, shared)
    r, n = np.zeros(5), np.zeros((5, 5))
    states, variances = [], []
    for k in range(len(steps) - 1, -1, -1):
        x, p, off, total, gain = steps[k]
        left = np.eye(5) - np.outer(gain, _SEEN)
        r = left.T @ r + _SEEN * (off / total)
        n = left.T @ n @ left + np.outer(_SEEN, _SEEN) / total
        states.append(x + p @ r)
        variances.append(np.diag(p - p @ n @ p))
        r, n = model.moved[k].T @ r, model.moved[k].T @ n @ model.moved[k]
    level, slope = np.array(states[::-1]).T[:2]
    level_variance, slope_variance = np.maximum(np.array(variances[::-1]).T[:2], 1e-12)
    return Smooth(level, slope, level_variance, slope_variance)
