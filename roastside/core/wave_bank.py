"""What the levels of a minute or two may be made of: a roast, noise, and perhaps a slow wave."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from math import pi

import numpy as np

from roastside.core.jerk import Curve

STEP_S = 2.0
"""The levels are this far apart."""

_SLOWEST_HZ, _FASTEST_HZ, _APART_HZ = 1.0 / 42.0, 1.0 / 5.0, 1.0 / 120.0
"""Slower waves cannot be told from a roast; what lies between two frequencies a window of two
minutes hardly tells apart."""

_SIZES = (0.3, 3.0, 30.0)
_JERKS = (1e-7, 2e-6, 4e-5, 8e-4, 1.6e-2)
_REMAINS = (0.0, 0.3, 0.55)
"""Variance of the wave and intensity of the roast's jerk (1/s⁵), both against the variance of a
level's error; and the share of an error that is left after a step. Wide enough for probes of 0.5 to
10 readings a second with errors of 0.02 to 0.5 °C; nothing hangs on the exact values."""

_LASTS_S = 80.0
"""For so long a wave keeps its phase, more or less, as in `humming`."""

_SHARE_OF_WAVES = 0.2
"""How likely a wave is beforehand. A choice."""

AHEAD_S = (1.0, 2.0, 3.0)
"""So long after the last level, which are the edges and the middle of the next one."""


@dataclass(frozen=True, slots=True)
class Bank:
    """Models of n levels in a row, n - 3 contrasts of which no parabola can touch.

    contrasts: (n, n - 3). squares: (models, pairs), what the products of two contrasts (`pairs`)
    weigh in the sum of squares under each model, if the error of a level had variance 1;
    told: (models,), the part of the log likelihood that the levels do not change. long_run:
    (models,), variance of the errors as it counts in a mean of many. foretold: (waves, 3, n - 3),
    what the contrasts tell of the wave AHEAD_S after the last level; the waves are the last models.
    """

    contrasts: Curve
    pairs: tuple[np.ndarray, np.ndarray]
    squares: np.ndarray
    told: Curve
    long_run: Curve
    foretold: Curve


@cache
def bank(count: int) -> Bank:
    """The models of so many levels."""
    at_s = STEP_S * np.arange(count)
    apart_s = np.abs(at_s[:, None] - at_s)
    contrasts = np.linalg.qr(np.vander(at_s - at_s.mean(), 3), mode="complete")[0][:, 3:]
    jerk = contrasts.T @ _jerk_covariance(at_s) @ contrasts
    white = np.eye(count - 3)
    noises = [contrasts.T @ remains ** (apart_s / STEP_S) @ contrasts for remains in _REMAINS]
    shown, long_run, prior = [], [], []
    for noise, remains in zip(noises, _REMAINS, strict=True):
        for size in _JERKS:
            shown.append(noise + size * jerk)
            long_run.append((1.0 + remains) / (1.0 - remains))
    waves = list(_waves())
    prior = [(1.0 - _SHARE_OF_WAVES) / len(shown)] * len(shown)
    prior += [_SHARE_OF_WAVES / (len(waves) * len(_JERKS))] * (len(waves) * len(_JERKS))
    ahead = []
    for hz, size in waves:
        wave = contrasts.T @ (size * _wave(apart_s, hz)) @ contrasts
        then_s = at_s[-1] + np.array(AHEAD_S)
        # A level is a mean over its step, in which a fast wave shrinks.
        shrinks = np.sinc(hz * STEP_S)
        then = size / shrinks * _wave(np.abs(then_s[:, None] - at_s), hz) @ contrasts
        for q in _JERKS:
            shown.append(white + wave + q * jerk)
            long_run.append(1.0)
            ahead.append(then)
    covariances = np.array(shown)
    inverses = np.linalg.inv(covariances)
    rows, columns = np.triu_indices(count - 3)
    twice = np.where(rows == columns, 1.0, 2.0)
    logs = np.linalg.slogdet(covariances)[1]
    return Bank(
        contrasts,
        (rows, columns),
        (inverses[:, rows, columns] * twice).astype(np.float32),
        np.log(prior) - 0.5 * logs,
        np.array(long_run),
        np.array(ahead) @ inverses[-len(ahead) :],
    )


def _waves() -> Iterator[tuple[float, float]]:
    for hz in np.arange(_SLOWEST_HZ, _FASTEST_HZ, _APART_HZ).tolist():
        for size in _SIZES:
            yield hz, size


def _wave(apart_s: Curve, hz: float) -> Curve:
    wave: Curve = np.cos(2.0 * pi * hz * apart_s) * np.exp(-apart_s / _LASTS_S)
    return wave


def _jerk_covariance(at_s: Curve) -> Curve:
    """Of a level whose third derivative is white noise of intensity 1, from the first time on."""
    s, t = np.minimum(at_s[:, None], at_s), np.maximum(at_s[:, None], at_s)
    gap = t - s
    covariance: Curve = s**5 / 20.0 + gap * s**4 / 8.0 + gap**2 * s**3 / 12.0
    return covariance
