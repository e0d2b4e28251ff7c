"""Whether a wave that was on the readings before a plunge goes on after it."""

from __future__ import annotations

from math import log

from roastside.core.mixture import Mixture

_REFUTED = 15.0
"""Log likelihood by which the readings must speak against the wave. Much, for without it the
hypotheses explain slow hum as a roast that bends all the time, and no better or worse than hum. On
seeds 1, 5, 6 and 8 of benchmarks/rate_of_rise.py hum found in the preheat takes the rate's error
under hum from 0.74 to 0.71 of the best window's; 12 gives away a tenth of that. Swings of ±2 °C
within 12 to 29 s that end with the charge, put before 71 roasts without hum, cost a hundredth of
the error; never refuted, a twentieth."""

_LEAST = 1e-300


class Rival:
    """The same roast, followed without the wave.

    Hum of the mains goes on when beans are charged, the swings of a thermostat or of a fan do not.
    """

    def __init__(self, mixture: Mixture) -> None:
        self.mixture = mixture
        self._ahead = 0.0
        """Log likelihood of the readings without the wave, less that with it."""

    def wins(self, likely: float, without: float) -> bool:
        """Whether the wave is refuted, now that a reading was so likely with it and without it.

        Both up to a common factor.
        """
        self._ahead += log(max(without, _LEAST) / max(likely, _LEAST))
        return self._ahead > _REFUTED
