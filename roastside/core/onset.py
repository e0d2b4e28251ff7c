"""When a plunge began, of which a thick probe shows nothing for the first seconds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Point = tuple[float, float]

# Orders of magnitude, chosen and not fitted, even in the logarithm: they prefer no scale of time.
_SHEATH_S = np.geomspace(4.0, 45.0, 7)
_FASTER_S = np.geomspace(0.1, 12.0, 6)
"""Two faster lags: the junction in its sheath, and beans that take a while to fall around it."""

_APART = 0.97
"""Lags that are quite alike have no closed formula; alike but for this share, they have."""

_BEFORE_S = 15.0
_ONSETS_S = np.arange(-10.0, 4.1, 0.2)
"""Where a plunge may have begun, seconds after the moment from which on it shows."""

_BLOCK_S = 0.5
"""Readings are averaged over so long: fast ones err alike."""

_FEWEST_BEFORE = 3
_SHORTEST_BEFORE_S = 5.0
"""So much must be known of the level to tell a drift of it from a fall."""
_LEAST_SD_C = 0.05
_DRIFT_SD = 0.1
"""A preheated probe drifts by some °C a minute; °C/s."""

_ROOM_C = 20.0

_ALIKE_S = 40.0
"""So long after charge at the most a plunge is looked at."""
_LEAST_HEIGHT_C = 60.0
_LEAST_SHARE = 0.1
"""Of a reference that falls less, the plunge is not in its curve."""
_UNLIKE, _UNLIKE_DEPTH = 0.01, 0.1
"""By what share of the height two plunges of a recipe differ, at a moment and in all. Assumed."""

_FREEDOM = 4.0
"""The errors' size is itself guessed from few readings: Student's t with so many degrees."""


@dataclass(frozen=True, slots=True)
class Depth:
    """How far a probe will fall in the end, as a share of its height above the room, and the sd.

    It may be rough: it tells a thick probe that will fall far from a thin one that will not.
    """

    share: float
    sd: float


@dataclass(frozen=True, slots=True)
class Plunge:
    """How the probe fell in the reference: the share of its height above the room, from charge on.

    Arrays of shape (n,), elapsed seconds and shares.
    """

    elapsed_s: Array
    share: Array

    def shown(self, since_s: Array) -> Array:
        """The share that it had fallen so long after charge."""
        shown: Array = np.interp(np.maximum(since_s, 0.0), self.elapsed_s, self.share)
        return shown


def plunge_of(bean_c: Sequence[float], every_s: float) -> Plunge | None:
    """The plunge of a curve that begins at charge; None if that was in no hot probe."""
    fallen_c = bean_c[0] - np.array(bean_c[: int(_ALIKE_S / every_s)])
    height_c = bean_c[0] - _ROOM_C
    if height_c < _LEAST_HEIGHT_C or fallen_c[-1] < _LEAST_SHARE * height_c:
        return None
    return Plunge(every_s * np.arange(len(fallen_c), dtype=np.float64), fallen_c / height_c)


def onset_s(
    points: Sequence[Point], shows_s: float, depth: Depth, like: Plunge | None = None
) -> float:
    """When a plunge began: stream seconds. `points` (s, °C) reach up to now.

    It shows from `shows_s` on; with too little known of before, it is returned itself. The model
    is a level that drifts and, from the onset on, the answer of three lags in series to a step.
    Level, drift and depth enter linearly and are integrated out; onset and lags are weighed on a
    grid by how likely they are, and the mean onset is taken (Bretthorst, "Bayesian Spectrum
    Analysis and Parameter Estimation", 1988, chapter 3).

    Where the probe falls as it did in the reference (`like`), rather than as some lags would have
    it, the onset is the one that lays the two falls over each other: no lag has to be guessed then.
    """
    known = [point for point in points if point[0] >= shows_s - _BEFORE_S]
    at_s, value_c = _in_blocks(np.array(known))
    at_s -= shows_s
    before = at_s < 0.0
    if np.count_nonzero(before) < _FEWEST_BEFORE or at_s[0] > -_SHORTEST_BEFORE_S:
        return shows_s
    level_c = float(np.mean(value_c[before]))
    sd_c = _sd_c(at_s[before], value_c[before], np.diff([value for _, value in known]))
    height_c = level_c - _ROOM_C
    falls_c, falls_sd_c = depth.share * height_c, depth.sd * height_c
    off_c = value_c - level_c

    def by(answers: Array, falls_c: float, falls_sd_c: float, sd_c: float) -> Array:
        return _log_likely(
            at_s, off_c / sd_c, falls_c / sd_c, falls_sd_c / sd_c, _DRIFT_SD / sd_c, answers
        )

    since_s = at_s - _ONSETS_S[:, None]
    lags = _answers(since_s)
    log = by(lags, falls_c, falls_sd_c, sd_c)
    if like is not None:
        # No two batches fall quite alike: both explanations are judged with that in mind.
        rough_c = float(np.hypot(sd_c, _UNLIKE * height_c))
        by_like = by(like.shown(since_s), height_c, _UNLIKE_DEPTH * height_c, rough_c)
        by_lags = by(lags, falls_c, falls_sd_c, rough_c)
        if _log_sum(by_like) > _log_sum(by_lags) - np.log(len(lags)):
            log = by_like[None]
    weight = np.sum(np.exp(log - log.max()), axis=0)
    return max(shows_s + float(weight @ _ONSETS_S) / float(weight.sum()), known[0][0])


def _log_sum(log: Array) -> float:
    """The logarithm of the sum of numbers given by theirs."""
    return float(log.max() + np.log(np.sum(np.exp(log - log.max()))))


def _in_blocks(points: Array) -> tuple[Array, Array]:
    """Mean time and mean value of each block of points, shape (n, 2) before."""
    since = np.floor((points[:, 0] - points[0, 0]) / _BLOCK_S)
    _, block, count = np.unique(since, return_inverse=True, return_counts=True)
    mean_s, mean_c = (np.bincount(block, column) / count for column in points.T)
    return mean_s, mean_c


def _sd_c(at_s: Array, level_c: Array, jumps_c: Array) -> float:
    """How points err, °C: their scatter about a line before the plunge, and their rounding."""
    design = np.column_stack([np.ones_like(at_s), at_s])
    found, *_ = np.linalg.lstsq(design, level_c, rcond=None)
    scatter = float(np.sum((level_c - design @ found) ** 2)) / max(len(at_s) - 2, 1)
    steps_c = np.abs(jumps_c[np.abs(jumps_c) > 1e-6])
    step_c = float(steps_c.min()) if len(steps_c) else 0.0
    return float((scatter + step_c**2 / 12.0 + _LEAST_SD_C**2) ** 0.5)


def _log_likely(
    at_s: Array, level: Array, depth: float, depth_sd: float, drift_sd: float, answers: Array
) -> Array:
    """How likely each answer is, by its logarithm and but for what all have in common.

    All values in standard deviations of a point. `answers`: the share of the depth shown, shape
    (..., onsets, points); the result has shape (..., onsets).
    """
    answers = -answers
    # Level and drift are taken out by projection; the drift's prior is one more, unseen, row.
    design = np.vstack([np.column_stack([np.ones_like(at_s), at_s]), [0.0, 1.0 / drift_sd]])
    axes = np.linalg.qr(design)[0][:-1]
    answers_on, level_on = answers @ axes, axes.T @ level
    # Squares and products of what is left.
    own = np.sum(answers**2, axis=-1) - np.sum(answers_on**2, axis=-1) + depth_sd**-2
    shared = answers @ level - answers_on @ level_on + depth * depth_sd**-2
    rest = level @ level - level_on @ level_on + (depth / depth_sd) ** 2 - shared**2 / own
    freedom = len(at_s) + _FREEDOM
    log: Array = -0.5 * freedom * np.log1p(np.maximum(rest, 0.0) / _FREEDOM)
    log -= 0.5 * np.log(own) + np.log(depth_sd)
    return log


def _answers(since_s: Array) -> Array:
    """How much of a step shows so long after it, for each set of lags: shape (lags, *since_s).

    1 - Σ τi² exp(-t/τi) / ((τi - τj)(τi - τk)), by partial fractions.
    """
    elapsed_s = np.maximum(since_s, 0.0)
    shown = np.ones((len(_LAGS_S), *since_s.shape))
    for i in range(3):
        own, second, third = (_LAGS_S[:, (i + k) % 3, None, None] for k in range(3))
        shown -= own**2 / ((own - second) * (own - third)) * np.exp(-elapsed_s / own)
    return shown


def _lags_s() -> Array:
    """All sets of a sheath's lag and two faster ones, s; shape (lags, 3)."""
    sets = [
        (sheath, fast, _APART * faster)
        for sheath in _SHEATH_S
        for k, fast in enumerate(_FASTER_S)
        for faster in _FASTER_S[: k + 1]
        if fast < _APART * sheath
    ]
    return np.array(sets)


_LAGS_S = _lags_s()
