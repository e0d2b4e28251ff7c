"""The baselines: slopes over windows, and the best of them on one stream in hindsight."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter, savgol_coeffs

Array = NDArray[np.float64]

WINDOWS_S = (6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60)


def window_rates(time_s: Array, bean_c: Array) -> Iterator[tuple[str, Array]]:
    """Every baseline by name, with its rate of rise (°C/min, nan where unknown) at each reading.

    All look back only: the difference of two readings, the least-squares line and parabola
    over the readings of a window, and Savitzky-Golay filters (scipy) at the window's last point.
    """
    sums = _Sums(time_s, bean_c)
    interval_s = float(np.median(np.diff(time_s)))
    for window_s in WINDOWS_S:
        first = np.searchsorted(time_s, time_s - window_s - 1e-6)
        whole = time_s - time_s[0] >= window_s
        yield f"two points {window_s} s", _masked(_difference(time_s, bean_c, first), whole)
        yield f"line {window_s} s", _masked(sums.line(first), whole)
        yield f"parabola {window_s} s", _masked(sums.parabola(first), whole)
        points = round(window_s / interval_s) + 1
        for degree in (1, 2, 3):
            if points > degree + 1:
                yield (
                    f"Savitzky-Golay {degree}, {window_s} s",
                    _savgol(bean_c, points, degree, interval_s),
                )


def best_window(
    time_s: Array, bean_c: Array, true_rate: Array, judged: NDArray[np.bool_]
) -> tuple[str, float, Array]:
    """The baseline with the least root-mean-square error (°C/min) where `judged`.

    Returns its name, its error and its rates.
    """
    best = ("", float("inf"), np.empty(0))
    for name, rate in window_rates(time_s, bean_c):
        error = float(np.sqrt(np.mean((rate[judged] - true_rate[judged]) ** 2)))
        if error < best[1]:
            best = (name, error, rate)
    return best


def _masked(rate: Array, known: NDArray[np.bool_]) -> Array:
    return np.where(known, rate, np.nan)


def _difference(time_s: Array, bean_c: Array, first: NDArray[np.intp]) -> Array:
    over_s = np.maximum(time_s - time_s[first], 1e-9)
    rate: Array = 60.0 * (bean_c - bean_c[first]) / over_s
    return rate


def _savgol(bean_c: Array, points: int, degree: int, interval_s: float) -> Array:
    weights = savgol_coeffs(points, degree, deriv=1, delta=interval_s, pos=points - 1, use="conv")
    rate: Array = 60.0 * lfilter(weights, 1.0, bean_c)
    rate[: points - 1] = np.nan
    return rate


class _Sums:
    """Sums of powers of time, and of those times temperature, up to each reading.

    Kept in extended precision, for windows are differences of them.
    """

    def __init__(self, time_s: Array, bean_c: Array) -> None:
        self._t = (time_s - time_s.mean()).astype(np.longdouble)
        y = (bean_c - bean_c.mean()).astype(np.longdouble)
        self._powers = [self._upto(self._t**k) for k in range(5)]
        self._moments = [self._upto(self._t**k * y) for k in range(3)]

    @staticmethod
    def _upto(values: NDArray[np.longdouble]) -> NDArray[np.longdouble]:
        return np.concatenate((np.zeros(1, np.longdouble), np.cumsum(values)))

    def _within(
        self, first: NDArray[np.intp]
    ) -> tuple[list[NDArray[np.longdouble]], list[NDArray[np.longdouble]]]:
        """Sums over each window, with time counted from the window's own last reading."""
        last = np.arange(1, len(self._t) + 1)
        p = [power[last] - power[first] for power in self._powers]
        m = [moment[last] - moment[first] for moment in self._moments]
        o = -self._t
        powers = [
            p[0],
            p[1] + o * p[0],
            p[2] + 2 * o * p[1] + o**2 * p[0],
            p[3] + 3 * o * p[2] + 3 * o**2 * p[1] + o**3 * p[0],
            p[4] + 4 * o * p[3] + 6 * o**2 * p[2] + 4 * o**3 * p[1] + o**4 * p[0],
        ]
        return powers, [m[0], m[1] + o * m[0], m[2] + 2 * o * m[1] + o**2 * m[0]]

    def line(self, first: NDArray[np.intp]) -> Array:
        """Slope of the least-squares line, °C/min; nan for fewer than two readings."""
        (n, t, tt, *_), (y, ty, _) = self._within(first)
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = (n * ty - t * y) / (n * tt - t * t)
        return np.where(n >= 2, 60.0 * slope, np.nan).astype(np.float64)

    def parabola(self, first: NDArray[np.intp]) -> Array:
        """Slope at the last reading of the least-squares parabola, °C/min; nan below four."""
        (n, t, tt, ttt, tttt), (y, ty, tty) = self._within(first)
        with np.errstate(divide="ignore", invalid="ignore"):
            whole = n * (tt * tttt - ttt**2) - t * (t * tttt - ttt * tt) + tt * (t * ttt - tt**2)
            slope = (
                n * (ty * tttt - ttt * tty) - y * (t * tttt - ttt * tt) + tt * (t * tty - ty * tt)
            ) / whole
        return np.where(n >= 4, 60.0 * slope, np.nan).astype(np.float64)
