"""A value that stays the same to the letter far longer than anything explains."""

from __future__ import annotations

from roastside.core.noise import LOWEST_SD_C, NoiseMeter

_STILL_S = 30.0

# Where a smooth curve turns, it stays within one step for at most the time in which its speed at
# the beginning would have taken it four steps further (v² = 2 a step; there and back 2 v / a).
_MOVES_C = 5.0
_MOVES_STEPS = 3.0
_SUSPECT_C = 0.5
_SUSPECT_STEPS = 1.5

# With noise of 0.4 steps a reading right in the middle of a step is repeated with a chance of
# 0.79 (normal distribution); sixty times in a row, one in a million.
_NOISE_STEPS = 0.4
_NOISE_READINGS = 60
_SUSPECT_READINGS = 30

_AIR_MOVES_C = 25.0
_AIR_MOVES_STEPS = 5.0

_BEANS_TELL_S = 45.0
"""This long after charge no bean probe can still read what it read before. A choice."""


class StuckDetector:
    """Tells a value that is stuck from one that is only coarse, or that has no reason to change.

    A value unchanged to the letter for 30 s is stuck if one of these speaks against it: the rate
    of rise at its beginning (less two standard deviations), kept up, comes to 5 °C and 3 steps;
    the noise of the probe, which would have shown in sixty readings; the air probe, which moved
    by 25 °C and 5 steps; a charge, 45 s ago. `suspects` is true from far less of the first two on.
    """

    def __init__(self) -> None:
        self.stuck = False
        self.suspects = False
        self.still_s = 0.0
        self.value_c: float | None = None
        self._since_s = 0.0
        self._rate_c_per_s = 0.0
        self._repeats = 0
        self._noisy = False
        self._air_c: tuple[float, float] | None = None

    def update(
        self,
        time_s: float,
        bean_c: float,
        air_c: float | None,
        noise: NoiseMeter,
        charge_s: float | None,
    ) -> bool:
        """Take in a reading; whether it changed the value. Then `moving` is to be told the rate."""
        if bean_c != self.value_c:
            self.value_c = bean_c
            self.stuck = self.suspects = False
            self.still_s = self._rate_c_per_s = 0.0
            self._since_s = time_s
            self._repeats = 0
            self._air_c = None if air_c is None else (air_c, air_c)
            step_c = noise.step_c or 0.0
            # The rounding itself shows as noise of step²/12; less than the lowest is not seen.
            shown = noise.sd_c**2 - step_c**2 / 12.0 - LOWEST_SD_C**2
            self._noisy = step_c > 0.0 and shown > (_NOISE_STEPS * step_c) ** 2
            return True
        self._repeats += 1
        self.still_s = time_s - self._since_s
        if air_c is not None:
            low_c, high_c = self._air_c or (air_c, air_c)
            self._air_c = (min(low_c, air_c), max(high_c, air_c))
        self._weigh(time_s, noise.step_c or 0.0, charge_s)
        return False

    def moving(self, rate_c_per_min: float, rate_sd: float) -> None:
        """How fast the bean temperature surely moved when the value last changed."""
        self._rate_c_per_s = max(abs(rate_c_per_min) - 2.0 * rate_sd, 0.0) / 60.0

    def _weigh(self, time_s: float, step_c: float, charge_s: float | None) -> None:
        moves_c = self._rate_c_per_s * self.still_s
        charged_s = 0.0 if charge_s is None or charge_s < self._since_s else time_s - charge_s
        air_moves_c = 0.0 if self._air_c is None else self._air_c[1] - self._air_c[0]
        self.suspects = moves_c >= _SUSPECT_C + _SUSPECT_STEPS * step_c or (
            self._noisy and self._repeats >= _SUSPECT_READINGS
        )
        self.stuck = self.still_s >= _STILL_S and (
            moves_c >= _MOVES_C + _MOVES_STEPS * step_c
            or (self._noisy and self._repeats >= _NOISE_READINGS)
            or air_moves_c >= _AIR_MOVES_C + _AIR_MOVES_STEPS * step_c
            or charged_s >= _BEANS_TELL_S
        )
