"""How far a reading may lie from the true temperature, learned from the readings themselves."""

from __future__ import annotations

from roastside.core.colour import Colour
from roastside.core.noise import NoiseMeter

_LEAST_SD_C = 0.02
_LEAST_SHARE_OF_STEP = 0.125
"""Errors before rounding are never taken for smaller than this share of the rounding's step."""


class ProbeError:
    """Scatter, rounding and wander of a stream's readings."""

    def __init__(self) -> None:
        self._noise = NoiseMeter()
        self._colour = Colour()
        self.long_run = None
        self.p = 0.0

    def update(self, time_s: float, value_c: float, calm: bool = True) -> None:
        """Take in a reading, wild or not; not `calm` where the curve bends sharply."""
        self._noise.update(time_s, value_c, calm)

    def believed(self, time_s: float, value_c: float, calm: bool = True) -> None:
        """The reading just taken in is not wild: it also tells how errors wander."""
        if calm:
            self._colour.update(time_s, value_c, max(self._noise.variance, _LEAST_SD_C**2))
        else:
            self._colour.forget_neighbours()

    def forget_neighbours(self) -> None:
        """What follows does not lie on a line with what went before."""
        self._colour.forget_neighbours()

    def factor(self) -> float:
        if self.long_run is None:
            return self._colour.factor
        white = max(self._noise.variance, _LEAST_SD_C**2)
        lasting = max(1.0, self.long_run / self._noise._interval_s / white)
        return lasting + self.p * max(self._colour.factor - lasting, 0.0)

    def of_reading(self, slope_c_per_s: float) -> tuple[float, float]:
        """Variance of a reading's error (°C²), and half the step to which it is rounded.

        The half step is 0 where the scatter drowns it; its share is then in the variance.
        """
        step_c = self._noise.step_c or 0.0
        scatter = max(self._noise.variance, _LEAST_SD_C**2)
        before_rounding = scatter - self._noise.rounding(slope_c_per_s)
        if before_rounding >= step_c * step_c:
            return max(scatter, step_c * step_c / 12.0) * self.factor(), 0.0
        least = max(_LEAST_SHARE_OF_STEP * step_c, _LEAST_SD_C)
        return max(before_rounding, least * least) * self.factor(), 0.5 * step_c
