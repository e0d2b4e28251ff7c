"""How noisy a probe is, learned from the readings themselves."""

from __future__ import annotations

_FORGET_READINGS = 100
_CLIP = 16.0
LOWEST_SD_C = 0.05
"""Readings are never taken to be better than this."""


class NoiseMeter:
    """Standard deviation of a stream's reading error, °C, and its smallest step.

    Each reading is compared with the straight line between its two neighbours; for white noise
    of variance s² the residual has variance s² (1 + w0² + w2²), w0 and w2 being the weights of
    the neighbours. Squares are averaged with forgetting and clipped at four standard deviations,
    so that a spike does not count. A curve that bends over two sampling intervals adds to the
    figure, which errs on the safe side.
    """

    def __init__(self, initial_sd_c: float = 0.3) -> None:
        self._variance = initial_sd_c**2
        self._before: tuple[float, float] | None = None
        self._last: tuple[float, float] | None = None
        self._step_c: float | None = None
        self._same = 0

    def update(self, time_s: float, value_c: float) -> None:
        """Take in one reading; times must not go back."""
        last, before = self._last, self._before
        if last is not None:
            jump = abs(value_c - last[1])
            self._same = self._same + 1 if jump == 0.0 else 0
            if jump > 1e-9 and (self._step_c is None or jump < self._step_c):
                self._step_c = jump
        if last is not None and before is not None and time_s > before[0]:
            w0 = (time_s - last[0]) / (time_s - before[0])
            w2 = 1.0 - w0
            residual = last[1] - w0 * before[1] - w2 * value_c
            square = residual * residual / (1.0 + w0 * w0 + w2 * w2)
            clipped = min(square, _CLIP * max(self._variance, LOWEST_SD_C**2))
            self._variance += (clipped - self._variance) / _FORGET_READINGS
        self._before, self._last = last, (time_s, value_c)

    @property
    def variance(self) -> float:
        """Variance to give to the latest reading, °C².

        At least a uniform rounding error's, step²/12. A value repeated to the letter tells
        little new (rounding errors on a staircase are one and the same), so its k-th repeat
        counts 1/k.
        """
        rounding = 0.0 if self._step_c is None else self._step_c**2 / 12.0
        return max(self._variance, rounding, LOWEST_SD_C**2) * (1 + self._same)

    @property
    def step_c(self) -> float | None:
        """Smallest difference seen between two readings in a row, °C; None before there is one."""
        return self._step_c

    @property
    def sd_c(self) -> float:
        """Typical error of one reading, °C."""
        return float(max(self._variance**0.5, LOWEST_SD_C))
