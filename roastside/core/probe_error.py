"""How far a reading may lie from the true temperature, learned from the readings themselves."""

from __future__ import annotations

from roastside.core.colour import Colour
from roastside.core.noise import NoiseMeter
from roastside.core.slow_wave import SlowWave
from roastside.core.wave_bank import STEP_S
from roastside.core.waving import Wave

_LEAST_SD_C = 0.01
"""Errors are never taken for smaller; half of it gives the same."""

_LEAST_SHARE_OF_STEP = 0.125
"""Errors before rounding are never taken for smaller than this share of the rounding's step."""


class ProbeError:
    """Scatter, rounding, wander and slow wave of a stream's readings."""

    def __init__(self) -> None:
        self._noise = NoiseMeter()
        self._colour = Colour()
        self._wave = SlowWave()

    def update(self, time_s: float, value_c: float, calm: bool = True) -> None:
        """Take in a reading, wild or not; not `calm` where the curve bends sharply."""
        self._noise.update(time_s, value_c, calm)
        if not calm:
            self._colour.forget_neighbours()
            self._wave.forget()

    def cracked(self, at_s: float | None) -> None:
        """When first crack was heard; see `SlowWave.cracked_s`."""
        self._wave.cracked_s = at_s

    @property
    def scatter(self) -> float:
        """Variance of what tells a reading's error from those beside it, °C², rounding and all."""
        step_c = self._noise.step_c or 0.0
        return max(self._noise.variance, _LEAST_SD_C**2) + step_c * step_c / 12.0

    @property
    def wave(self) -> Wave | None:
        """The slow wave on the readings, if one is believed in."""
        return self._wave.wave

    def wave_refuted(self) -> None:
        """The wave of before a plunge does not go on after it, or not as it was."""
        self._wave.refuted()

    @property
    def wave_looked_for(self) -> bool:
        """Whether `wave` was told by readings since the last plunge, gap or leap."""
        return self._wave.looked

    def levels(self) -> list[tuple[float, float]]:
        """Time and value (°C) of the last minutes, two at most, two seconds each, wave and all."""
        return self._wave.levels()

    def of_level(self) -> float:
        """Variance of the error of one of `levels`, °C²."""
        return max((self._wave.lasting or 0.0) / STEP_S, 1e-6)

    def believed(
        self,
        time_s: float,
        value_c: float,
        even: bool = True,
        *,
        slope_c_per_s: float | None = None,
        course: tuple[float, float] | None = None,
    ) -> None:
        """The reading just taken in is not wild and bends gently: it tells how errors wander.

        Not `even` where it still bends as a slow wave would. For `slope_c_per_s` and `course` see
        `Levels.update`.
        """
        if self._wave.lasting is None:
            # Later the levels tell it better.
            self._colour.update(time_s, value_c, max(self._noise.variance, _LEAST_SD_C**2))
        if even:
            self._wave.update(time_s, value_c, slope_c_per_s=slope_c_per_s, course=course)
        else:
            self._wave.forget()

    def strayed(self, off_c: float) -> None:
        """Readings strayed so far from where they were expected, again and again."""
        self._wave.strayed(off_c)

    def forget_neighbours(self) -> None:
        """What follows does not lie on a line with what went before."""
        self._colour.forget_neighbours()
        self._wave.interrupt()

    def of_reading(self, slope_c_per_s: float) -> tuple[float, float]:
        """Variance of a reading's error (°C²), and half the step to which it is rounded.

        The half step is 0 where the scatter drowns it; its share is then in the variance.
        """
        step_c = self._noise.step_c or 0.0
        scatter = max(self._noise.variance, _LEAST_SD_C**2)
        before_rounding = scatter - self._noise.rounding(slope_c_per_s)
        lasting = self._lasting_beside(step_c)
        if max(before_rounding, lasting) >= step_c * step_c:
            return max(scatter * self._lasts(), step_c * step_c / 12.0), 0.0
        least = max(_LEAST_SHARE_OF_STEP * step_c, _LEAST_SD_C)
        white = max(before_rounding, least * least)
        return max(white * self._lasts(), lasting), 0.5 * step_c

    def _lasting_beside(self, step_c: float) -> float:
        """What a reading's error, rounding left out, comes to in the long run, at least, °C².

        Of errors that last for seconds readings in quick succession show next to nothing, so no
        multiple of their scatter tells them. Levels show them whole, with a rounding that may last
        as long as a level does. 0 or less where that could be all.
        """
        lasting, interval_s = self._wave.lasting, self._noise.interval_s
        if lasting is None:
            return 0.0
        return (lasting - step_c * step_c / 12.0 * max(STEP_S, interval_s)) / interval_s

    def _lasts(self) -> float:
        """How much more errors weigh in the long run than their scatter suggests, at least 1."""
        lasting = self._wave.lasting
        if lasting is None:
            return self._colour.factor
        white = max(self._noise.variance, _LEAST_SD_C**2) * self._noise.interval_s
        return max(1.0, lasting / white)
