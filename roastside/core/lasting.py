"""Errors that last: by how much noise that wanders weighs more than noise that comes and goes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from roastside.core.jerk import Curve

_WINDOW = 15
"""Blocks in a window, half a minute: within it a roast is a cubic."""

_STRIDE = 5
_FEWEST_WINDOWS = 4

_TRIMMED = 0.2
_UNTRIMMED = 1.19
"""The fifth of the windows with the largest errors is left out (first crack bends faster than any
cubic); of chi-square with 11 degrees of freedom that takes away so much."""

_TWO_PARAMETERS = 2.0
"""Log likelihood by which lasting noise must do better than white noise (Akaike 1974)."""


@dataclass(frozen=True, slots=True)
class _Noise:
    """A noise of variance 1: its long-run variance, and how it shows in a window."""

    long_run: float
    inverse: Curve
    log_determinant: float


def long_run_variance(time_s: Curve, level_c: Curve) -> float | None:
    """The variance of the errors of evenly spaced levels, as it counts in a mean of many. °C².

    Arrays of shape (n,). For white errors it is their variance; errors of variance s² of which a
    share r remains after each step count s² (1 + r) / (1 − r). Contrasts that no cubic can touch
    are taken in each half minute, so that the roast itself does not count, and the noise chosen
    under which they are likeliest (restricted likelihood: Patterson and Thompson, "Recovery of
    inter-block information when block sizes are unequal", Biometrika 58, 1971). None if too few
    windows are free of gaps.
    """
    starts = np.arange(0, len(time_s) - _WINDOW + 1, _STRIDE)
    if len(starts) == 0:
        return None
    spans_s = time_s[starts + _WINDOW - 1] - time_s[starts]
    starts = starts[spans_s < 1.15 * (_WINDOW - 1) * float(np.median(np.diff(time_s)))]
    if len(starts) < _FEWEST_WINDOWS:
        return None
    contrasts = level_c[starts[:, None] + np.arange(_WINDOW)] @ _contrasts()
    worth = len(starts) * _STRIDE / _WINDOW
    kept = round(len(starts) * (1.0 - _TRIMMED))
    degrees = contrasts.shape[1]

    def fitted(noise: _Noise) -> tuple[float, float]:
        squares = np.sort(np.sum(contrasts @ noise.inverse * contrasts, axis=1))
        variance = max(_UNTRIMMED * float(np.mean(squares[:kept])) / degrees, 1e-12)
        told = -0.5 * worth * (degrees * np.log(variance) + noise.log_determinant)
        return float(told), noise.long_run * variance

    white, *lasting = (fitted(noise) for noise in _noises())
    best = max(lasting)
    return best[1] if best[0] > white[0] + _TWO_PARAMETERS else white[1]


@cache
def _contrasts() -> Curve:
    """An orthonormal basis of what is left of a window once a cubic is taken out."""
    step = np.arange(_WINDOW) - (_WINDOW - 1) / 2.0
    basis: Curve = np.linalg.qr(np.vander(step, 4), mode="complete")[0][:, 4:]
    return basis


@cache
def _noises() -> tuple[_Noise, ...]:
    """White noise, then mixtures of it with noise of which a share remains after each step."""
    found = [_noise(0.0, 0.0)]
    found += [_noise(s, r) for s in (0.25, 0.5, 0.75, 1.0) for r in (0.2, 0.35, 0.5, 0.65)]
    return tuple(found)


def _noise(share: float, remains: float) -> _Noise:
    step = np.arange(_WINDOW)
    covariance = share * remains ** np.abs(step[:, None] - step)
    covariance[step, step] = 1.0
    shown = _contrasts().T @ covariance @ _contrasts()
    long_run = 1.0 - share + share * (1.0 + remains) / (1.0 - remains)
    return _Noise(long_run, np.linalg.inv(shown), float(np.linalg.slogdet(shown)[1]))
