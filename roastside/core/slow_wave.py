"""A slow wave on the readings as they come, as mains hum becomes when it is sampled."""

from __future__ import annotations

from collections import deque

import numpy as np

from roastside.core.wave_bank import STEP_S, bank

_MOST, _FEWEST = 60, 30
_LOOK_EVERY = 5
_COUNTS = 1e-3


class SlowWave:
    """What of each reading is a wave, told before it comes; and how much errors last.

    """

    def __init__(self) -> None:
        self.long_run: float | None = None
        """Variance of a reading's error as it counts in a mean of many, °C² s."""
        self.forget()

    def forget(self) -> None:
        self._levels: deque[float] = deque(maxlen=_MOST)
        self._begin(None)
        self._count = 0
        self._looked = 0
        self._foretells = None
        self._wave = None
        self.p = 0.0

    def _begin(self, since_s) -> None:
        self._since_s = since_s
        self._n = 0
        self._sum_s = self._sum_c = 0.0

    def at(self, time_s: float) -> float:
        if self._wave is None:
            return 0.0
        since_s, first, middle, last = self._wave
        u = (time_s - since_s) / STEP_S
        if u > 1.5:
            return 0.0
        u = 2.0 * u - 1.0
        return middle + 0.5 * u * (last - first) + 0.5 * u * u * (first + last - 2.0 * middle)

    def update(self, time_s: float, value_c: float, slope: float) -> None:
        if self._since_s is None:
            self._begin(time_s)
        while time_s - self._since_s >= STEP_S:
            if self._n == 0:
                self.forget()
                self._begin(time_s)
                break
            self._close(slope)
        self._n += 1
        self._sum_s += time_s - self._since_s
        self._sum_c += value_c

    def _close(self, slope: float) -> None:
        off_s = self._sum_s / self._n - 0.5 * STEP_S
        self._levels.append(self._sum_c / self._n - slope * off_s)
        self._begin(self._since_s + STEP_S)
        self._count += 1
        n = len(self._levels)
        if n < _FEWEST:
            return
        count = _MOST if n == _MOST else _FEWEST
        models = bank(count)
        level = np.array(self._levels)[-count:]
        seen = level @ models.contrasts
        if self._foretells is None or self._looked != count or self._count % _LOOK_EVERY == 0:
            self._look(models, seen, count)
        if self._foretells is False:
            self._wave = None
        else:
            self._wave = (self._since_s, *(self._foretells @ seen).tolist())

    def _look(self, models, seen, count) -> None:
        self._looked = count
        rows, columns = models.pairs
        squares = np.maximum(models.squares @ (seen[rows] * seen[columns]).astype(np.float32), 1e-9)
        degrees = count - 3
        told = models.told - 0.5 * degrees * np.log(squares)
        weight = np.exp(told - told.max())
        weight /= weight.sum()
        self.long_run = float(weight @ (squares * models.long_run)) / degrees * STEP_S
        waves = weight[-len(models.foretold):]
        these = np.flatnonzero(waves > _COUNTS)
        self.p = waves.sum()
        if len(these) == 0:
            self._foretells = False
        else:
            self._foretells = np.tensordot(waves[these], models.foretold[these], 1)
