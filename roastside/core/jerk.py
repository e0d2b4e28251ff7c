"""A level whose acceleration wanders, filtered and smoothed over a whole series."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan

import numpy as np
from numpy.typing import NDArray

Curve = NDArray[np.float64]
Step = tuple[float, ...]

BEGINNING = (10.0**2, 8.0**2, 0.02**2)
"""How little is known where a series begins: variances of level (°C), slope and acceleration."""

UNSEEN = 1e12
"""Variance of a level of which no reading tells, °C²: it changes nothing."""

_LEAST = 1e-12


@dataclass(frozen=True, slots=True)
class Smooth:
    """Level (°C) and slope (°C/s) with their variances; arrays of shape (n,).

    `told`, where a whole model was fitted, is the log likelihood of all values under it.
    """

    level: Curve
    slope: Curve
    level_variance: Curve
    slope_variance: Curve
    told: float = nan


def log_likelihood(time_s: Curve, value: Curve, variance: Curve, jerk: float) -> Curve:
    """How well each value was foretold by those before it: natural logarithm, shape (n,).

    `jerk` as in `smooth`, the same throughout. The first three values, which only tell where the
    curve begins, count nothing. Source: the prediction error decomposition (Harvey, "Forecasting,
    Structural Time Series Models and the Kalman Filter", 1989, section 3.4).
    """
    steps = _filtered(time_s, value, variance, np.full(len(time_s), jerk))
    off, total = np.array([step[9:11] for step in steps]).T
    told: Curve = -0.5 * (off * off / total + np.log(total))
    told[:3] = 0.0
    return told


def smooth(time_s: Curve, value: Curve, variance: Curve, jerk: Curve) -> Smooth:
    """The likeliest level and slope at each time, given all values; arrays of shape (n,).

    The third derivative of the level is white noise of intensity `jerk` (°C²/s⁵, up to each
    time from the one before), and each value errs by its `variance` (°C²). Times do not go back.
    Source: the fixed-interval smoother in its disturbance form, without inverses (de Jong,
    "Smoothing and Interpolation With the State-Space Model", J. American Statistical Association
    84, 1989): r and N gather what the later values add to the prediction and its covariance.
    """
    steps = _filtered(time_s, value, variance, jerk)
    spans = np.diff(time_s, prepend=time_s[0]).tolist()
    r0 = r1 = r2 = n00 = n01 = n02 = n11 = n12 = n22 = 0.0
    gathered = []
    for (*_, off, total, g0, g1, g2), dt in zip(reversed(steps), reversed(spans), strict=True):
        m0 = n00 * g0 + n01 * g1 + n02 * g2
        m1 = n01 * g0 + n11 * g1 + n12 * g2
        m2 = n02 * g0 + n12 * g1 + n22 * g2
        r0 += off / total - g0 * r0 - g1 * r1 - g2 * r2
        n00 += g0 * m0 + g1 * m1 + g2 * m2 - 2.0 * m0 + 1.0 / total
        n01 -= m1
        n02 -= m2
        gathered.append((r0, r1, r2, n00, n01, n02, n11, n12, n22))
        h = 0.5 * dt * dt
        r2 += dt * r1 + h * r0
        r1 += dt * r0
        f01 = n01 + dt * n00
        f02 = n02 + dt * n01 + h * n00
        f12 = n12 + dt * n11 + h * n01
        n22 += dt * n12 + h * n02 + dt * f12 + h * f02
        n11 += dt * n01 + dt * f01
        n12 = f12 + dt * f02
        n01, n02 = f01, f02
    return _corrected(np.array(steps).T[:9], np.array(gathered[::-1]).T)


def _corrected(predicted: Curve, gathered: Curve) -> Smooth:
    """Predictions and their covariance, put right by what came after."""
    x, v, _, xx, xv, xa, vv, va, _ = predicted
    r0, r1, r2, n00, n01, n02, n11, n12, n22 = gathered

    def known(a: Curve, b: Curve, c: Curve) -> Curve:
        own: Curve = n00 * a * a + n11 * b * b + n22 * c * c
        shared: Curve = n01 * a * b + n02 * a * c + n12 * b * c
        return own + 2.0 * shared

    return Smooth(
        x + xx * r0 + xv * r1 + xa * r2,
        v + xv * r0 + vv * r1 + va * r2,
        np.maximum(xx - known(xx, xv, xa), _LEAST),
        np.maximum(vv - known(xv, vv, va), _LEAST),
    )


def _filtered(time_s: Curve, value: Curve, variance: Curve, jerk: Curve) -> list[Step]:
    """Predicted level, slope, acceleration and their covariance, then what the value added.

    A row is x, v, a, xx, xv, xa, vv, va, aa, innovation, its variance, and the three gains. The
    3 × 3 algebra is written out in plain floats: on so small a system the calls of an array
    library cost ten times the arithmetic.
    """
    rows: Sequence[Sequence[float]] = np.column_stack((time_s, value, variance, jerk)).tolist()
    at, x = rows[0][:2]
    v = a = xv = xa = va = 0.0
    xx, vv, aa = BEGINNING
    steps: list[Step] = []
    for now, seen, error, q in rows:
        dt, at = now - at, now
        if dt > 0.0:
            h = 0.5 * dt * dt
            x += dt * v + h * a
            v += dt * a
            moved_xa, moved_va = xa + dt * va + h * aa, va + dt * aa
            moved_xv, moved_vv = xv + dt * vv + h * va, vv + dt * va
            q1 = q * dt
            q2 = q1 * dt
            q3 = q2 * dt
            xx += dt * (xv + moved_xv) + h * (xa + moved_xa) + q3 * dt * dt / 20.0
            xv = moved_xv + dt * moved_xa + q3 * dt / 8.0
            xa = moved_xa + q3 / 6.0
            vv = moved_vv + dt * moved_va + q3 / 3.0
            va = moved_va + q2 / 2.0
            aa += q1
        total = xx + error
        off = seen - x
        g0, g1, g2 = xx / total, xv / total, xa / total
        steps.append((x, v, a, xx, xv, xa, vv, va, aa, off, total, g0, g1, g2))
        x, v, a = x + g0 * off, v + g1 * off, a + g2 * off
        vv, va, aa = vv - g1 * xv, va - g1 * xa, aa - g2 * xa
        xx, xv, xa = xx - g0 * xx, xv - g0 * xv, xa - g0 * xa
    return steps
