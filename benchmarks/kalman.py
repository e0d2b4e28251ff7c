"""A stricter baseline: plain Kalman filters, restlessness chosen in hindsight on each stream.

What such a filter reaches tells how much there is to gain over windows without a model of roasts.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

_RESTLESSNESS = np.geomspace(1e-8, 1e-1, 15)
"""Spectral density of the noise that drives slope or bend, as a share of a reading's variance."""


def best_kalman(
    time_s: Array, bean_c: Array, true_rate: Array, judged: NDArray[np.bool_], from_s: float
) -> tuple[str, float]:
    """Least root-mean-square error (°C/min) of all filters where `judged`, and whose it is.

    Filters begin at `from_s` (the turning point), knowing nothing.
    """
    begins = int(np.searchsorted(time_s, from_s))
    wanted, these = true_rate[begins:], judged[begins:]
    best = ("", float("inf"))
    for name, order, scale in (("steady slope", 2, 1.0), ("steady bend", 3, 1e-4)):
        rates = _rates(time_s[begins:], bean_c[begins:], order, scale * _RESTLESSNESS)
        errors = np.sqrt(np.mean((rates[these] - wanted[these, None]) ** 2, axis=0))
        k = int(np.argmin(errors))
        if errors[k] < best[1]:
            best = (f"{name} {scale * _RESTLESSNESS[k]:.0e}", float(errors[k]))
    return best


def _rates(time_s: Array, bean_c: Array, order: int, restlessness: Array) -> Array:
    """Rates (°C/min) of one filter for each restlessness, shape (n, filters)."""
    filters = len(restlessness)
    state = np.zeros((filters, order))
    state[:, 0] = bean_c[0]
    spread = np.zeros((filters, order, order))
    spread[:] = np.diag((1.0, 100.0, 1.0)[:order])
    rates = np.zeros((len(time_s), filters))
    last_s = time_s[0]
    for k, (now_s, value) in enumerate(zip(time_s.tolist(), bean_c.tolist(), strict=True)):
        dt, last_s = now_s - last_s, now_s
        move = np.eye(order)
        for row in range(order - 1):
            move[row, row + 1] = dt
        if order == 3:
            move[0, 2] = 0.5 * dt * dt
        state = state @ move.T
        spread = move @ spread @ move.T
        spread[:, -1, -1] += restlessness * dt
        gain = spread[:, :, 0] / (spread[:, 0, 0] + 1.0)[:, None]
        state += gain * (value - state[:, 0])[:, None]
        spread -= gain[:, :, None] * spread[:, None, 0, :]
        rates[k] = 60.0 * state[:, 1]
    return rates
