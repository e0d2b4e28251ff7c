"""Readings gathered into blocks of a second or two, each a level with a known error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roastside.core.jerk import UNSEEN, Curve, Smooth

BLOCK_S = 2.0
_PLUNGE_BLOCK_S = 1.0
_PLUNGE_S = 80.0
"""For so long after charge blocks are short, as the curve bends sharply."""

_GAP_S, _BRIDGE_S, _MOST_BRIDGES = 10.0, 5.0, 60
"""A gap longer than this, and than three usual intervals, is crossed in steps so long, or in so
many."""

_FEWEST = 8
_LEAST_SD_C = 0.01
_CLIP = 16.0

_WILD_SDS = 8.0
_WILD_STEPS = 3.0
_WILD_LEAST_C = 0.5
_PLUNGE_C_PER_S2, _PROBE_LAG_S = 0.6, 15.0
_ROAST_C_PER_S2 = 0.1
"""No curve bends more than this: in the plunge as a probe of that lag thrown from 200 °C into cold
beans, later as one that turns from falling at 30 °C/min to rising at 30 within 10 s."""

_FEW, _FEW_TO_JUDGE = 5, 3
_FASTEST_C_PER_S, _BENDS_C_PER_S2 = 1.0, 0.02
"""Fewer readings between gaps have no median of five. A probe climbs no faster than that (60 °C a
minute, twice what roasters aim for after turning; common practice, no source), and from one side of
a gap to the other a roast bends no more (by 36 °C/min within half a minute)."""

_LOGISTIC = 3.0**0.5 / np.pi
"""Scale of a logistic distribution of standard deviation 1."""

_JUDGED = 1500
"""So many readings are enough to judge how they scatter about a curve."""


@dataclass(frozen=True, slots=True)
class Blocks:
    """Mean times (s), levels (°C) and error variances (°C²), shape (n,) each."""

    time_s: Curve
    level_c: Curve
    variance: Curve


@dataclass(frozen=True, slots=True)
class Series:
    """Sound readings of one probe, shape (m,), which block each is in, scatter and step (°C)."""

    time_s: Curve
    bean_c: Curve
    block: NDArray[np.int64]
    variance: float
    step_c: float

    @property
    def coarse(self) -> bool:
        """Whether the steps are so large against the noise that rounding is no further noise."""
        return self.step_c**2 > 3.0 * self.variance

    def blocks(self) -> Blocks:
        """The mean of each block, its rounding taken for noise at random."""
        count = self._sums(np.ones(len(self.block)))
        time_s, level_c = self._sums(self.time_s) / count, self._sums(self.bean_c) / count
        return Blocks(time_s, level_c, max(self.variance, self.step_c**2 / 12.0) / count)

    def blocks_about(self, blocks: Blocks, smooth: Smooth) -> Blocks:
        """The same, each reading taken as the rounded value it is; `smooth` is a first curve.

        A reading tells that the level and an error add up to within half a step of it. Errors are
        taken as logistic, which are hardly told from normal ones, and for which the slope and the
        bend of the log likelihood are simple: with F the distribution at the upper and lower edge,
        F + F − 1 and F (1 − F) + F (1 − F). One step of Newton's method from the first curve (whose
        own uncertainty softens the edges) gives each block a level and a weight.
        """
        curve = between(blocks.time_s, smooth, self.time_s)[0]
        doubt = np.interp(self.time_s, blocks.time_s, smooth.level_variance)
        off_c, half_c = self.bean_c - curve, 0.5 * self.step_c
        scale = _LOGISTIC * np.sqrt(self._error_sd_c(off_c, doubt) ** 2 + doubt)
        upper, lower = _logistic((off_c + half_c) / scale), _logistic((off_c - half_c) / scale)
        push = (upper + lower - 1.0) / scale
        weight = (upper * (1.0 - upper) + lower * (1.0 - lower)) / scale**2
        # Far from the curve the likelihood is straight, and Newton's step would know no bounds.
        weight = np.maximum(weight, np.abs(push) / np.maximum(np.abs(off_c), half_c))
        weights = self._sums(weight) + 1e-3 / self.step_c**2
        level_c = smooth.level + self._sums(push) / weights
        return Blocks(blocks.time_s, level_c, 1.0 / weights)

    def _sums(self, of_readings: Curve) -> Curve:
        """What the readings of each block add up to."""
        return np.bincount(self.block, of_readings).astype(np.float64)

    def _error_sd_c(self, off_c: Curve, doubt: Curve) -> float:
        """The standard deviation, before rounding, under which the readings are likeliest."""
        calm = np.flatnonzero(self.time_s > self.time_s[0] + _PLUNGE_S)
        judged = calm if len(calm) > _FEWEST else np.arange(len(self.time_s))
        judged = judged[:: max(1, len(judged) // _JUDGED)]
        off_c, doubt = np.abs(off_c[judged]), doubt[judged]
        found = []
        for sd_c in np.geomspace(max(self.step_c / 20.0, _LEAST_SD_C), 1.5 * self.step_c, 14):
            scale = _LOGISTIC * np.sqrt(sd_c**2 + doubt)
            found.append((float(np.sum(_log_within(off_c, 0.5 * self.step_c, scale))), sd_c))
        return float(max(found)[1])


def gather(time_s: Curve, bean_c: Curve, charge_s: float) -> Series:
    """Readings from charge on, shape (m,), without those that stand alone."""
    step_c = _step_c(bean_c)
    plunge = _PLUNGE_C_PER_S2 * np.exp((charge_s - time_s) / _PROBE_LAG_S)
    sound = ~_wild(time_s, bean_c, step_c, plunge + _ROAST_C_PER_S2)
    time_s, bean_c = time_s[sound], bean_c[sound]
    block = _block(time_s, charge_s)
    if block[-1] + 1 < _FEWEST:
        block = np.arange(len(time_s))
    return Series(time_s, bean_c, block, _variance(time_s, bean_c), step_c)


def bridged(blocks: Blocks) -> Blocks:
    """The same, with levels that tell nothing within gaps, so that what is known there is told."""
    times, levels, variances = [], [], []
    steps = np.diff(blocks.time_s)
    gap_s = max(_GAP_S, 3.0 * float(np.median(steps)))
    for k in np.flatnonzero(steps > gap_s).tolist():
        count = min(int(np.ceil(steps[k] / _BRIDGE_S)), _MOST_BRIDGES)
        share = np.arange(1, count) / count
        times.append(blocks.time_s[k] + share * steps[k])
        levels.append(blocks.level_c[k] + share * (blocks.level_c[k + 1] - blocks.level_c[k]))
        variances.append(np.full(count - 1, UNSEEN))
    if not times:
        return blocks
    time_s = np.concatenate((blocks.time_s, *times))
    order = np.argsort(time_s, kind="stable")
    level_c = np.concatenate((blocks.level_c, *levels))[order]
    return Blocks(time_s[order], level_c, np.concatenate((blocks.variance, *variances))[order])


def between(time_s: Curve, smooth: Smooth, at_s: Curve) -> tuple[Curve, Curve]:
    """Level and slope of a smooth curve at other times, shape (m,).

    The cubic that meets levels and slopes at either side (Hermite); straight on past the ends.
    """
    inside_s = np.clip(at_s, time_s[0], time_s[-1])
    k = np.clip(np.searchsorted(time_s, inside_s, side="right") - 1, 0, len(time_s) - 2)
    h = np.maximum(time_s[k + 1] - time_s[k], 1e-9)
    u = np.clip((inside_s - time_s[k]) / h, 0.0, 1.0)
    start, rise = smooth.level[k], smooth.level[k + 1] - smooth.level[k]
    first, last = smooth.slope[k] * h, smooth.slope[k + 1] * h
    bend, twist = 3.0 * rise - 2.0 * first - last, first + last - 2.0 * rise
    slope = (first + u * (2.0 * bend + u * 3.0 * twist)) / h
    level = start + u * (first + u * (bend + u * twist)) + slope * (at_s - inside_s)
    return level, slope


def _block(time_s: Curve, charge_s: float) -> NDArray[np.int64]:
    """Which block each reading falls into; a gap always begins a new one."""
    spare_s = 0.5 * float(np.median(np.diff(time_s)))
    block, number, ends_s = [], -1, -np.inf
    for at_s in time_s.tolist():
        if at_s >= ends_s:
            number += 1
            early = at_s - charge_s < _PLUNGE_S
            ends_s = at_s + (_PLUNGE_BLOCK_S if early else BLOCK_S) - spare_s
        block.append(number)
    return np.array(block)


def _wild(time_s: Curve, bean_c: Curve, step_c: float, sharpest: Curve) -> NDArray[np.bool_]:
    """Readings far from the median of the five around them: farther than a roast can bend.

    What lies beyond a gap tells little of that; few readings between two gaps, or after the last,
    are judged by each other, and by how far a roast can come in the time.
    """
    spans_s = np.diff(time_s)
    interval_s = float(np.median(spans_s))
    gaps = np.flatnonzero(spans_s > max(_GAP_S, 3.0 * interval_s)) + 1
    runs = np.split(np.arange(len(time_s)), gaps)
    bend_c = _WILD_LEAST_C + 0.5 * sharpest * (2.0 * interval_s) ** 2
    off_c = np.zeros_like(bean_c)
    judged = [run for run in runs if len(run) >= _FEW_TO_JUDGE or len(runs) == 1]
    for run in judged:
        off_c[run] = _off_their_median(bean_c[run], first=run[0] == 0)
    many = [run for run in judged if len(run) >= _FEW] or judged
    usual_c = 1.48 * float(np.median(off_c[np.concatenate(many)])) if many else 0.0
    for run in runs:
        if len(run) < _FEW and len(runs) > 1:
            off_c[run] = np.maximum(off_c[run], _off_the_others(time_s, bean_c, run, sharpest))
    most_c = np.maximum(max(_WILD_SDS * usual_c, _WILD_STEPS * step_c), bend_c)
    wild: NDArray[np.bool_] = off_c > most_c
    return wild


def _off_their_median(bean_c: Curve, *, first: bool) -> Curve:
    """How far each reading of a run lies from the median of the five around it.

    Beyond its ends the curve is taken to go on straight; but the first reading of all has the
    plunge on one side, and can not be judged.
    """
    before_c = bean_c[[0, 0]] if first else _straight_on(bean_c[::-1])[::-1]
    padded = np.concatenate((before_c, bean_c, _straight_on(bean_c)))
    around = np.lib.stride_tricks.sliding_window_view(padded, 5)
    off_c: Curve = np.abs(bean_c - np.median(around, axis=1))
    return off_c


def _straight_on(bean_c: Curve) -> Curve:
    """Two more readings, as straight as medians of the last ones."""
    rise_c = np.median(np.diff(bean_c[-6:]))
    straight: Curve = np.median(bean_c[-5:]) + rise_c * np.array([2.0, 3.0])
    return straight


def _off_the_others(time_s: Curve, bean_c: Curve, run: NDArray[np.intp], sharpest: Curve) -> Curve:
    """How much further a few readings lie from those beyond the gaps than a roast can come.

    From the line through the nearest on both sides by how far it may bend, and from the nearest of
    all by how fast a probe can go; `sharpest`, (n,), as in `_wild`.
    """
    plunge = sharpest - _ROAST_C_PER_S2
    before, after = run[0] - 1, run[-1] + 1
    sides = [side for side in (before, after) if 0 <= side < len(time_s)]
    away_s = np.abs(time_s[run, None] - time_s[sides])
    fastest = _FASTEST_C_PER_S + _PROBE_LAG_S * np.maximum(plunge[run, None], plunge[sides])
    beyond_c = np.abs(bean_c[run, None] - bean_c[sides]) - fastest * away_s
    off_c: Curve = np.maximum(beyond_c.min(axis=1), 0.0)
    if len(sides) == 2:
        line_c = np.interp(time_s[run], time_s[sides], bean_c[sides])
        bends_c = 0.5 * (_BENDS_C_PER_S2 + plunge[before]) * away_s[:, 0] * away_s[:, 1]
        off_c = np.maximum(off_c, np.abs(bean_c[run] - line_c) - bends_c)
    return off_c


def _variance(time_s: Curve, bean_c: Curve) -> float:
    """Variance of white errors, from each reading's distance to the line through its neighbours."""
    span = time_s[2:] - time_s[:-2]
    w0 = np.divide(time_s[2:] - time_s[1:-1], span, out=np.full(len(span), 0.5), where=span > 0.0)
    w2 = 1.0 - w0
    squares = (bean_c[1:-1] - w0 * bean_c[:-2] - w2 * bean_c[2:]) ** 2 / (1.0 + w0**2 + w2**2)
    variance = float(np.mean(squares))
    for _ in range(8):
        variance = float(np.mean(np.minimum(squares, _CLIP * variance)))
    return max(variance, _LEAST_SD_C**2)


def _step_c(bean_c: Curve) -> float:
    """The smallest difference between two readings in a row; 0 if there is none."""
    jumps = np.abs(np.diff(bean_c))
    jumps = jumps[jumps > 1e-6]
    return float(jumps.min()) if len(jumps) else 0.0


def _logistic(x: Curve) -> Curve:
    return 0.5 * (1.0 + np.tanh(0.5 * x))


def _log_within(off: Curve, half: float, scale: Curve) -> Curve:
    """Logarithm of the logistic probability to be within `half` of `off`, that not below 0."""
    upper, lower, width = (off + half) / scale, np.abs(off - half) / scale, half / scale
    tails = 0.5 * (upper + lower) + np.log1p(np.exp(-upper)) + np.log1p(np.exp(-lower))
    within: Curve = width + np.log1p(-np.exp(-2.0 * width)) - tails
    return within
