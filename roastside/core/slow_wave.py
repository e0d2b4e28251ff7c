"""A slow wave on the readings, as mains hum becomes when it is sampled: told before it comes."""

from __future__ import annotations

from collections import deque

import numpy as np

from roastside.core.jerk import Curve
from roastside.core.wave_bank import AHEAD_S, STEP_S, Bank, bank, shrinks

_MOST, _FEWEST = 60, 30
"""Levels in a window: two minutes, and one for a beginning."""

_LOOK_EVERY = 5
"""Levels between two looks at what they are made of."""

_COUNTS = 1e-3
"""A model less likely than this is left out."""

_FRESH = 0.3
"""How much a look counts in what is known of the errors; windows overlap."""

_USUAL = 0.1
"""How much a level counts in how many readings are usual in one."""

_SPARE = 0.75
"""A level is whole if the next reading, in so much of an interval, would be beyond it."""


class SlowWave:
    """What part of a reading is a wave, and how much more errors weigh that last.

    Readings are gathered in levels of two seconds each, and the last sixty set against many models
    at once: a roast whose third derivative is white noise, errors that come and go or last, and
    perhaps a wave of 5 to 42 s; each with the likelihood of the levels given all but their parabola
    (restricted likelihood: Patterson and Thompson, "Recovery of inter-block information when block
    sizes are unequal", Biometrika 58, 1971), the variance of the errors at its likeliest. The wave
    of the coming two seconds is the mean of what the models foretell, weighed by how likely each is
    (Gaussian process regression: Rasmussen and Williams, "Gaussian Processes for Machine Learning",
    2006, section 2.2). It is nought as long as nothing speaks for a wave.
    """

    def __init__(self) -> None:
        self.lasting: float | None = None
        """Variance of the errors as it counts in a mean of many readings, times the seconds from
        one to the next, °C² s. None before there are enough levels."""
        self._last_s: float | None = None
        self._readings = 1.0
        self.forget()

    def forget(self) -> None:
        """What follows does not go on from what went before (a plunge, a gap, a leap)."""
        self.likely = 0.0
        """How likely there is a wave, 0 to 1."""
        self._levels: deque[float] = deque(maxlen=_MOST)
        self._since_s: float | None = None
        self._judged = 0
        self._to_look = 0
        self._weights: Curve | None = None
        self._coming: tuple[float, float, float] | None = None
        self._empty()

    def at(self, time_s: float) -> float:
        """The wave in a reading of this time, no earlier than the one taken in last; °C."""
        if self._coming is None or self._since_s is None:
            return 0.0
        u = 2.0 * (time_s - self._since_s) / STEP_S - 1.0
        if u > 2.0:
            return 0.0
        first, middle, last = self._coming
        return middle + 0.5 * u * (last - first + u * (first + last - 2.0 * middle))

    def update(self, time_s: float, value_c: float, slope_c_per_s: float | None) -> None:
        """Take in a reading that is not wild, or how far it is off an expected course.

        `slope_c_per_s`: about how fast that rises, if known. Times must not go back.
        """
        last_s, self._last_s = self._last_s, time_s
        if last_s is None:
            return
        interval_s = min(time_s - last_s, STEP_S)
        if self._since_s is None:
            # A reading stands in the middle of its interval: slow ones are one a level then.
            self._since_s = time_s - 0.5 * interval_s
        elif time_s - self._since_s >= STEP_S:
            if time_s - self._since_s >= 2.0 * STEP_S or not self._count:
                self.forget()
                return
            self._close(slope_c_per_s)
        self._count += 1
        self._sum_s += time_s - self._since_s
        self._sum_c += value_c
        if time_s - self._since_s + _SPARE * interval_s >= STEP_S:
            self._close(slope_c_per_s)

    def _empty(self) -> None:
        self._count = 0
        self._sum_s = self._sum_c = 0.0

    def _close(self, slope_c_per_s: float | None) -> None:
        assert self._since_s is not None
        self._readings += _USUAL * (self._count - self._readings)
        level_c, off_s = self._sum_c / self._count, self._sum_s / self._count - 0.5 * STEP_S
        if slope_c_per_s is None:
            slope_c_per_s = (level_c - self._levels[-1]) / STEP_S if self._levels else 0.0
        self._levels.append(level_c - slope_c_per_s * off_s)
        self._since_s += STEP_S
        self._empty()
        count = _MOST if len(self._levels) == _MOST else _FEWEST
        if len(self._levels) < count:
            return
        self._to_look -= 1
        looks = self._to_look <= 0 or count != self._judged
        self._coming = None
        if self._weights is None and not looks:
            return
        level = np.array(self._levels)[-count:]
        if looks:
            self._judged, self._to_look = count, _LOOK_EVERY
            self._look(bank(count), level)
        if self._weights is not None:
            first, middle, last = (self._weights @ level).tolist()
            self._coming = first, middle, last

    def _look(self, models: Bank, level: Curve) -> None:
        """Weigh the models anew. level: (n,), °C."""
        seen = level @ models.contrasts
        one, other = models.pairs
        squares = np.maximum(models.squares @ (seen[one] * seen[other]), 1e-9)
        told = models.told - 0.5 * len(seen) * np.log(squares)
        weight = np.exp(told - told.max())
        weight /= weight.sum()
        lasting = float(weight @ (squares * models.long_run)) / len(seen) * STEP_S
        fresh = 1.0 if self.lasting is None else _FRESH
        self.lasting = (1.0 - fresh) * (self.lasting or 0.0) + fresh * lasting
        waves = weight[-len(models.foretold) :]
        self.likely = float(waves.sum())
        counting = np.where(waves > _COUNTS, waves, 0.0)
        self._weights = None
        if counting.any():
            grown = counting / shrinks(models.frequency_hz, self._readings)
            self._weights = (grown @ models.foretold).reshape(len(AHEAD_S), -1)
