"""Whether a slow wave is on the readings, as mains hum becomes when it is sampled."""

from __future__ import annotations

from collections import deque
from math import log

import numpy as np

from roastside.core.jerk import Curve
from roastside.core.levels import MOST_LEVELS, Levels
from roastside.core.wave_bank import SHARE_OF_WAVES, STEP_S, Bank, bank, shrinks
from roastside.core.waving import Wave

_MOST, _FEWEST = MOST_LEVELS, 30
"""Levels in a window: two minutes, and one for a beginning."""

_LOOK_EVERY, _LOOK_AT_FIRST = 10, 6
"""Levels between two looks at what they are made of, and while there are few of them."""

_BELIEVED, _GIVEN_UP = 0.5, 0.2
"""How likely a wave must be to be followed, and how unlikely to be followed no more."""

_FRESH = 0.45
"""How much a look counts in what is known of the errors; windows overlap."""

_LIVELY = 2e-8
"""Intensity of the jerk, °C²/s⁵, of a roast as lively as one gets: in a minute it changes the
acceleration by 0.001 °C/s², so that the rate gains or loses 4 °C/min in the next. An order of
magnitude."""

_FACTOR = 5.0
"""A roast so many times as lively, or more, is as unlikely as one standard deviation, or more."""

_STAYS = 0.9
"""How likely what was there two minutes ago, a wave or none, is there still; else it is as likely
as beforehand. A choice; little hangs on it (0.97 gives the same under hum)."""

_STANDS_S = 240.0
"""So long a wave is believed in that can not be looked at, for one interruption after another."""

_CARRIED_HZ = 1.0 / 32.0
"""Only so fast a wave is taken to go on after a plunge: thermostats of a preheat swing slower
(common practice, no source). A choice; slower hum is hardly ever found in a preheat of
benchmarks/rate_of_rise.py."""

_CRACKS_FOR_S = 40.0
"""So long the rate swings after first crack. Common practice, no source."""

_NEVER = -1e9
"""Log likelihood of what is out of the question."""

_CREEPS = (0.25, 0.5, 0.25)
"""Where a wave's frequency is two minutes on: one step lower, the same, one step higher."""

_LASTS_S = 20.0
"""For so long a wave is taken to keep its phase, more or less, once it is followed: its frequency
is known to no better than a hundredth of a hertz, and creeps. A choice among three on seeds 5 to 8
of benchmarks/rate_of_rise.py: 40 s gives nearly the same, 80 s a twentieth more error under hum."""


class SlowWave:
    """What wave is on the readings, if any, and how much more errors weigh that last.

    Readings are gathered in levels of two seconds each, and the last sixty set against many models
    at once: a roast whose third derivative is white noise, errors that come and go or last, and
    perhaps a wave of 4 to 42 s; each with the likelihood of the levels given all but their parabola
    (restricted likelihood: Patterson and Thompson, "Recovery of inter-block information when block
    sizes are unequal", Biometrika 58, 1971), the variance of the errors at its likeliest. Frequency
    and variance of the wave are the means over the models that have one, weighed by how likely
    each is. Beside a reference levels are looked at both off it and as they are, and the view that
    makes plainer curves of them counts more: off a reference whose first crack comes at another
    time a roast swings once down and up, and would be taken for a wave.

    Two things are known besides. However small or large the errors are, the roast is the same: a
    model that makes it livelier than any roast is less likely. And hum stays: how likely a wave of
    each frequency is beforehand follows from how likely it was in the window before this one,
    which shares no level with it (the filter of a hidden Markov chain: Baum and Petrie,
    "Statistical inference for probabilistic functions of finite state Markov chains", Annals of
    Mathematical Statistics 37, 1966).
    """

    def __init__(self) -> None:
        self.lasting: float | None = None
        """Variance of the errors as it counts in a mean of many readings, times the seconds from
        one to the next, °C² s. None before there are enough levels."""
        self.likely = 0.0
        """How likely there is a wave, 0 to 1."""
        self.wave: Wave | None = None
        """What is on the readings, if a wave is believed in."""
        self.cracked_s: float | None = None
        """When first crack was heard, if it was: the rate then falls and comes back within half a
        minute or so, as if a slow wave began."""
        self._looked_s = 0.0
        self._strayed = False
        self._were: deque[tuple[float, Curve]] = deque(maxlen=_MOST // _LOOK_AT_FIRST)
        self._levels = Levels()
        self._begin()

    def _begin(self) -> None:
        self._levels.begin()
        self._judged = self._look_at = 0

    def strayed(self, off_c: float) -> None:
        """Readings strayed so far from where they were expected, again and again: errors that last
        are as large, until the levels are looked at next. Before they ever were, `Colour` tells."""
        if self.lasting is not None:
            self.lasting = max(self.lasting, off_c * off_c * STEP_S)
            self._strayed = True

    def forget(self) -> None:
        """What follows has nothing to do with what went before (a plunge); but hum goes on, if it
        is faster than any thermostat."""
        if self.wave is not None and self.wave.frequency_hz < _CARRIED_HZ:
            self._give_up()
        self._were.clear()
        self._begin()

    def refuted(self) -> None:
        """The wave of before a plunge does not go on after it, or not as it was."""
        self._give_up()

    @property
    def looked(self) -> bool:
        """Whether what follows the last plunge, gap or leap has been looked at."""
        return self._judged > 0

    def interrupt(self) -> None:
        """What follows does not lie on a line with what went before (a gap, a leap), but hum
        goes on."""
        if self.wave is not None and self._levels.last_s - self._looked_s > _STANDS_S:
            self._give_up()
        self._begin()

    def _give_up(self) -> None:
        """Follow the wave no more, unseen. It may well go on, and `lasting` was told without it."""
        if self.wave is not None:
            self.lasting = None
        self.wave, self.likely = None, 0.0

    def levels(self) -> list[tuple[float, float]]:
        """See `Levels.timed`."""
        return self._levels.timed()

    def update(
        self,
        time_s: float,
        value_c: float,
        *,
        slope_c_per_s: float | None = None,
        course: tuple[float, float] | None = None,
    ) -> None:
        """Take in a reading that is not wild; see `Levels.update`."""
        if not self._levels.update(time_s, value_c, slope_c_per_s=slope_c_per_s, course=course):
            self.interrupt()
            return
        count = _MOST if len(self._levels) == _MOST else _FEWEST
        if len(self._levels) < count:
            return
        if self._levels.closed < self._look_at and count == self._judged:
            return
        next_look = _LOOK_EVERY if count == _MOST else _LOOK_AT_FIRST
        self._judged, self._look_at = count, self._levels.closed + next_look
        self._looked_s = time_s
        self._look(bank(count), self._levels.views(count), self._levels.end_s)

    def _look(self, models: Bank, views: Curve, end_s: float) -> None:
        """Weigh the models anew. views: (n, v), levels off a course and as they are, °C.

        end_s: when the last of them ended.
        """
        # One row a view, a model a column: each step then runs along memory.
        seen = views.T @ models.contrasts
        free = seen.shape[1]
        one, other = models.pairs
        products = (seen[:, one] * seen[:, other]).astype(np.float32)
        squares = np.empty((len(seen), len(models.told)))
        for of_view, product in zip(squares, products, strict=True):
            # One by one: a product with a matrix of two columns takes half as long again.
            of_view[:] = models.squares @ product
        np.maximum(squares, 1e-9, out=squares)
        log_squares = np.log(squares)
        told = models.told - 0.5 * free * log_squares
        livelier = np.maximum(log_squares + (models.log_jerk - log(free * _LIVELY)), 0.0)
        told -= 0.5 / log(_FACTOR) ** 2 * livelier * livelier
        begin_s = end_s - STEP_S * len(views)
        calm, by_frequency = self._beforehand(models, begin_s)
        calm_told, wave_told = told[:, : -len(models.size)], told[:, -len(models.size) :]
        calm_told += calm
        wave_told += np.repeat(by_frequency, len(models.size) // len(by_frequency))
        if self.wave is None and self._cracking(begin_s, end_s):
            # What is on the readings then weighs as an error.
            wave_told[:] = _NEVER
        weight = np.exp(told - told.max())
        weight /= weight.sum()
        weighed = (weight * squares).sum(axis=0)
        lasting = float(weighed @ models.long_run) / free * STEP_S
        fresh = 1.0 if self.lasting is None or self._strayed else _FRESH
        self._strayed = False
        self.lasting = (1.0 - fresh) * (self.lasting or 0.0) + fresh * lasting
        waves = weight[:, -len(models.size) :].sum(axis=0)
        by_frequency = waves.reshape(len(models.frequencies_hz), -1).sum(axis=1)
        self._were.append((end_s, by_frequency))
        self.likely = float(by_frequency.sum())
        if self.likely < (_BELIEVED if self.wave is None else _GIVEN_UP):
            self.wave = None
            return
        frequency_hz = float(by_frequency @ models.frequencies_hz) / self.likely
        sizes = models.size @ weighed[-len(waves) :] / free
        left = shrinks(frequency_hz, self._levels.usual_readings)
        variance = float(sizes) / (self.likely * left * left)
        self.wave = Wave(frequency_hz, variance, _LASTS_S)

    def _cracking(self, begin_s: float, end_s: float) -> bool:
        """Whether what first crack does to the rate lies in a window."""
        at_s = self.cracked_s
        return at_s is not None and begin_s - _CRACKS_FOR_S < at_s < end_s

    def _beforehand(self, models: Bank, begin_s: float) -> tuple[float, Curve]:
        """How much more is to be expected than usually, log: no wave, and one of each frequency.

        Of a window that begins at `begin_s`, from what was known last before.
        """
        ended = [known for end_s, known in self._were if end_s <= begin_s + 0.5 * STEP_S]
        if not ended:
            return 0.0, np.zeros(len(models.frequencies_hz))
        then = ended[-1]
        share = SHARE_OF_WAVES / len(then)
        lower, same, higher = _CREEPS
        crept = same * then
        crept[:-1] += lower * then[1:]
        crept[1:] += higher * then[:-1]
        crept[0] += lower * then[0]
        crept[-1] += higher * then[-1]
        waves = _STAYS * crept + (1.0 - _STAYS) * share
        calm = 1.0 - float(waves.sum())
        return log(calm / (1.0 - SHARE_OF_WAVES)), np.log(waves / share)
