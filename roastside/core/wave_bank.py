"""What the levels of a minute or two may be made of: a roast, errors, and perhaps a slow wave."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import product
from math import pi, sin

import numpy as np
from numpy.typing import NDArray

from roastside.core.jerk import Curve

STEP_S = 2.0
"""The levels are this far apart."""

_SLOWEST_HZ, _FASTEST_HZ, _APART_HZ = 1.0 / 42.0, 0.98 / (2.0 * STEP_S), 1.0 / 120.0
"""Slower waves can not be told from a roast, faster ones not from slower ones by levels. What lies
between two frequencies a window of two minutes hardly tells apart."""

_SIZES = (0.3, 3.0, 30.0, 300.0, 3000.0)
_JERKS = (1e-7, 2e-6, 4e-5, 8e-4, 1.6e-2)
"""Variance of the wave, and intensity of the roast's jerk (s⁻⁵), both against the variance of a
level's error. Wide enough for roasts seen by probes of 0.5 to 10 readings a second that err by 0.02
to 0.5 °C; what lies between two of them hardly differs. A livelier roast beside (0.1) lets a
probe of 0.007 °C be believed from the first minute on, and slow hum be taken for the roast."""

_REMAINS = {0.0: 0.6, 0.3: 0.2, 0.55: 0.2}
"""The share of an error that is left after a step, and how likely that is beforehand where there
is no wave."""

_LASTS_S = 80.0
"""For so long a wave keeps its phase, more or less, as in `humming`. A choice; 50 s
gives the same error under hum, 130 s a hundredth more."""

SHARE_OF_WAVES = 0.4
"""How likely a wave is beforehand. A choice: more of it helps where there is hum, and now and then
takes a bend of a quiet roast for a wave."""

Square = NDArray[np.float64]
Short = NDArray[np.float32]
"""Seven digits: half as much to fetch from memory, which is what a look at levels costs."""


@dataclass(frozen=True, slots=True)
class Bank:
    """Models of n levels in a row, told apart by the m = n − 3 contrasts no parabola can touch.

    Read backwards, no model differs: a contrast that is the same then is correlated with none that
    changes its sign, so half of all products tell nothing. The contrasts are those a roast moves
    independently of each other. So what is large because of the roast weighs little by itself, not
    by a difference of large numbers, and seven digits leave four in the log likelihood.

    contrasts: (n, m). pairs: the indices of the products of two contrasts that tell something;
    squares: (models, pairs), what these weigh in the sum of squares under each model, were the
    variance of a level's error 1. told: (models,), the part of the log likelihood, and the prior,
    that no level changes. long_run: (models,), the variance of an error as it counts in a mean of
    many. log_jerk: (models,), of the intensity of the roast's jerk against the variance of a
    level's error, s⁻⁵. The waves are the last of the models, in order of their frequencies: size,
    (waves,), is their variance against that of a level's error; frequencies_hz, each once.
    """

    contrasts: Curve
    pairs: tuple[NDArray[np.intp], NDArray[np.intp]]
    squares: Short
    told: Curve
    long_run: Curve
    log_jerk: Curve
    size: Curve
    frequencies_hz: Curve


@dataclass(frozen=True, slots=True)
class _Model:
    """Covariance of the contrasts, (m, m), how likely it is beforehand, its long run and jerk."""

    shown: Square
    prior: float
    long_run: float
    jerk: float


@cache
def bank(count: int) -> Bank:
    """The models of so many levels; made once, in a fifth of a second for sixty."""
    at_s = STEP_S * np.arange(count, dtype=np.float64)
    apart_s = np.abs(at_s[:, None] - at_s)
    jerked = _jerked(at_s)
    same, turned = (_apart(side, jerked) for side in _contrasts(at_s - at_s.mean()))
    contrasts: Curve = np.hstack((same, turned))

    def shown(covariance: Square) -> Square:
        seen: Square = contrasts.T @ covariance @ contrasts
        return seen

    jerk = shown(jerked)
    calm = [
        _Model(
            shown(remains ** (apart_s / STEP_S)) + size * jerk,
            (1.0 - SHARE_OF_WAVES) * likely / len(_JERKS),
            (1.0 + remains) / (1.0 - remains),
            size,
        )
        for (remains, likely), size in product(_REMAINS.items(), _JERKS)
    ]
    frequencies = np.arange(_SLOWEST_HZ, _FASTEST_HZ, _APART_HZ)
    waves = list(product(frequencies.tolist(), _SIZES, _JERKS))
    seen_waves = {hz: shown(_wave(apart_s, hz)) for hz in frequencies.tolist()}
    white = np.eye(count - 3)
    waving = [
        _Model(
            white + variance * seen_waves[hz] + size * jerk,
            SHARE_OF_WAVES / len(waves),
            1.0,
            size,
        )
        for hz, variance, size in waves
    ]
    models = calm + waving
    covariances = np.array([model.shown for model in models])
    inverses = np.linalg.inv(covariances)
    one, other = np.triu_indices(count - 3)
    telling = (one < same.shape[1]) == (other < same.shape[1])
    pairs = one[telling], other[telling]
    twice = np.where(pairs[0] == pairs[1], 1.0, 2.0)
    prior = np.array([model.prior for model in models])
    return Bank(
        contrasts=contrasts,
        pairs=pairs,
        squares=(inverses[:, *pairs] * twice).astype(np.float32),
        told=np.log(prior) - 0.5 * np.linalg.slogdet(covariances)[1],
        long_run=np.array([model.long_run for model in models]),
        log_jerk=np.log([model.jerk for model in models]),
        size=np.array([variance for _, variance, _ in waves]),
        frequencies_hz=frequencies,
    )


def shrinks(frequency_hz: float, readings: float) -> float:
    """How much of a wave is left in a level that is the mean of so many readings."""
    turn = pi * frequency_hz * STEP_S
    return sin(turn) / (readings * sin(turn / readings))


def _contrasts(at_s: Curve) -> tuple[Curve, Curve]:
    """Orthonormal contrasts, (n, ·), that are nought of any parabola: those that are the same when
    time runs backwards, and those whose signs are turned then. at_s: (n,), nought in the middle."""
    half = np.eye(len(at_s))[:, : (len(at_s) + 1) // 2]

    def beyond(parabola: Curve, side: Curve) -> Curve:
        """What is left of the span of `side` beyond some columns of it."""
        basis = np.linalg.qr(side)[0]
        seen = np.linalg.qr(basis.T @ parabola, mode="complete")[0]
        left: Curve = basis @ seen[:, parabola.shape[1] :]
        return left

    middle = len(at_s) % 2
    turned = (half - half[::-1])[:, : len(at_s) // 2] if middle else half - half[::-1]
    return (
        beyond(np.column_stack((np.ones_like(at_s), at_s**2)), half + half[::-1]),
        beyond(at_s[:, None], turned),
    )


def _apart(contrasts: Curve, covariance: Square) -> Curve:
    """Contrasts of the same span that are uncorrelated under this covariance, (n, n)."""
    independent: Curve = contrasts @ np.linalg.eigh(contrasts.T @ covariance @ contrasts)[1]
    return independent


def _wave(apart_s: Square, hz: float) -> Square:
    """Covariance of a wave of variance 1 whose phase and size drift: a damped oscillator pushed by
    white noise, which moves smoothly. The plain cosine that decays has a kink at 0, so of a probe
    that hardly errs besides it expects a roughness that hum has not, and calls the hum small."""
    turn = 2.0 * pi * hz
    swings = np.cos(turn * apart_s) + np.sin(turn * apart_s) / (turn * _LASTS_S)
    wave: Square = swings * np.exp(-apart_s / _LASTS_S)
    return wave


def _jerked(at_s: Curve) -> Square:
    """Covariance of a level whose third derivative is white noise of intensity 1 from time 0 on."""
    first = np.minimum(at_s[:, None], at_s)
    apart = np.abs(at_s[:, None] - at_s)
    covariance: Square = first**5 / 20.0 + apart * first**4 / 8.0 + apart**2 * first**3 / 12.0
    return covariance
