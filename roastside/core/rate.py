"""Rate of rise: how fast the bean temperature climbs, and how sure that is."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, inf
from typing import NamedTuple

from roastside.core.air import AirProbe
from roastside.core.course import Course
from roastside.core.gate import Gate, Verdict
from roastside.core.hypotheses import ALONE, BESIDE, BY_AIR, BY_PLACE, BY_TIME, stays_s
from roastside.core.mixture import Mixture
from roastside.core.path import Path
from roastside.core.probe_error import ProbeError
from roastside.core.restlessness import PROBE_LAG_S, restlessness
from roastside.core.rival import Rival
from roastside.core.surely import surely
from roastside.core.waving import Wave

SECONDS_PER_MINUTE = 60.0

_SETTLED_S = 3.0 * PROBE_LAG_S
"""So long after a plunge readings bend too sharply to tell anything about their scatter."""

_EVEN_S = 4.0 * PROBE_LAG_S
"""So long after a plunge what is left of it is no more to be taken for a slow wave."""

_PLACE_FROM_S = 30.0
"""So long after the reference's turning point a temperature is a place on it."""

_ANEW_LEVEL_C = 1.0
_ANEW_SLOPE_C_PER_S = 8.0
"""How little is known of level and slope where the filter begins anew in a roast."""

_LOST_LEVEL_C = 100.0
"""How little is known of the level after a silence of minutes."""

_ENOUGH_LEVELS = 15
"""Half a minute: from so many levels on the past is gone through again for a wave."""

_LONGEST_STEP_S = 2.5
_MOST_STEPS = 50
"""Through a gap of more than two minutes the steps grow; nothing is known by then anyhow."""

_WARM_UP_READINGS = 3

_AFTER_CRACK_S = 60.0
_SPREAD_ALONE, _SPREAD_BESIDE, _SPREAD_AT_CRACK = 0.71, 0.98, 1.0
"""The hypotheses of a roast alone allow for more than most roasts do, and those beside a reference
take it for exact: so much closer lies the truth than they say, over 100 roasts of
benchmarks/rate_of_rise.py (seeds 6 and 8), so that nine in ten of all errors lie inside the 90 %
interval. In the minute after first crack they allow for no more than happens: with the same share
there 75 in a hundred lay inside, of a roast alone (seeds 1, 5, 6 and 8)."""

_STRAIGHT_ON = (0.0, 0.0)


class Estimate(NamedTuple):
    """Where the bean curve is. °C, and °C per minute with its standard deviation.

    `departure_c`, `departure_rate_c_per_min` are against the course (None without one).
    """

    time_s: float
    bean_c: float
    bean_sd_c: float
    rate_c_per_min: float
    rate_sd: float
    departure_c: float | None = None
    departure_rate_c_per_min: float | None = None

    @property
    def surely_off_c_per_min(self) -> float | None:
        """By how much the rate differs from the course's, less one standard deviation."""
        off = self.departure_rate_c_per_min
        return None if off is None else surely(off, self.rate_sd)


class RateFilter:
    """Rate of rise from irregular, noisy, rounded, spiky readings; causal, one estimate a reading.

    Several Kalman filters run side by side and are weighed by how well each foretells the
    readings (see `Mixture`): one that lets the rate change slowly and steadily, one that lets it
    turn within half a minute, and, given a `course` (the reference), two that expect the roast to
    bend where the reference does: at the same time, or at the same temperature. So what the
    reference explains need not be learned again, and a roast that leaves it is followed freely.
    Where a slow wave is on the readings, each of them follows it together with the roast.

    `plunge_at_s` is when beans met the probe (charge) or left it (drop): from there the slope is
    set free, and tightens as the probe settles; None is preheat. A reading far outside what is
    expected is passed over unless the next ones agree with it.
    """

    def __init__(
        self,
        plunge_at_s: float | None = None,
        course: Course | None = None,
        error: ProbeError | None = None,
    ) -> None:
        self._plunge_at_s = plunge_at_s
        self._course = course
        self._error = error or ProbeError()
        self._air = AirProbe()
        self._hypotheses = ALONE if course is None else BESIDE
        self._spread = _SPREAD_ALONE if course is None else _SPREAD_BESIDE
        self._mixture: Mixture | None = None
        self._expected_at: tuple[float, tuple[float, float]] | None = None
        self._rival: Rival | None = None
        self._readings = 0
        self._gate = Gate()
        self._cracked_s: float | None = None

    def update(self, time_s: float, bean_c: float, air_c: float | None = None) -> Estimate | None:
        """Take in a reading; None until there are enough to tell a rate. Times must not go back."""
        since_s = self._since_s(time_s)
        calm = since_s > _SETTLED_S
        self._error.update(time_s, bean_c, calm)
        if air_c is not None:
            self._air.update(time_s, air_c)
        variance, half_step = self._error.of_reading(self._slope())
        mixture = self._mixture
        if mixture is None:
            self._mixture = self._begun(time_s, bean_c, variance + half_step * half_step)
            self._readings = 1
            return None
        if self._rival is not None and time_s - mixture.time_s > _LONGEST_STEP_S * _MOST_STEPS:
            mixture = self._without_wave(self._rival)
        self._move(mixture, time_s)
        believed = self._believes(time_s, bean_c, variance + half_step * half_step / 3.0, calm)
        mixture = self._mixture or mixture  # begun anew, perhaps
        if believed:
            likely = mixture.update(bean_c, variance, half_step)
            if self._rival is not None:
                mixture = self._contested(
                    mixture, self._rival, likely, (bean_c, variance, half_step)
                )
            if calm:
                slope, course = mixture.tracks[0].v, self._expected(time_s)
                self._error.believed(
                    time_s, bean_c, since_s > _EVEN_S, slope_c_per_s=slope, course=course
                )
                mixture = self._heeding(mixture, self._error.wave)
            self._readings += 1
        if self._readings < _WARM_UP_READINGS:
            return None
        return self._estimate(mixture)

    def cracked(self, at_s: float | None) -> None:
        """When first crack was heard, stream s; None if it was not.

        From there the rate may swing (see `SlowWave.cracked_s`, too).
        """
        self._cracked_s = at_s
        self._error.cracked(at_s)

    def coast(self, time_s: float) -> Estimate | None:
        """Where the curve should be at `time_s` with no reading to say so; changes nothing."""
        if self._mixture is None or self._readings < _WARM_UP_READINGS:
            return None
        coasting = self._mixture.copied()
        self._move(coasting, time_s)
        return self._estimate(coasting)

    def path(self) -> Path:
        """Where the curve is heading. Only to be asked after an estimate was given."""
        mixture = self._mixture
        assert mixture is not None
        now, course = mixture.pooled(), self._course
        if course is None:
            return Path(mixture.time_s, now)
        by_time, by_place = mixture.weight_of(BY_TIME), mixture.weight_of(BY_PLACE)
        place_s = course.place_s(now.x) if self._has_place(course, mixture.time_s) else None
        return Path(mixture.time_s, now, course, place_s, by_place / (by_time + by_place))

    def _heeding(self, mixture: Mixture, wave: Wave | None) -> Mixture:
        """The mixture that takes this wave to be on the readings."""
        if wave is None:
            self._rival = None
            if mixture.wave is not None:
                mixture.without_wave()
            return mixture
        if mixture.wave is None:
            levels = self._error.levels()
            if len(levels) < _ENOUGH_LEVELS:
                # Known from before the plunge.
                self._rival = Rival(mixture.copied())
                mixture.with_wave(wave)
            else:
                mixture = self._mixture = self._again(mixture, wave, levels)
        mixture.wave = wave
        return mixture

    def _contested(
        self, mixture: Mixture, rival: Rival, likely: float, reading: tuple[float, float, float]
    ) -> Mixture:
        """Which mixture to go on with; `likely` is how likely this one found the reading."""
        self._move(rival.mixture, mixture.time_s)
        if rival.wins(likely, rival.mixture.update(*reading)):
            return self._without_wave(rival)
        if self._error.wave_looked_for:
            self._rival = None
        return mixture

    def _without_wave(self, rival: Rival) -> Mixture:
        """Go on without the wave that was on the preheat."""
        self._error.wave_refuted()
        self._rival, self._mixture = None, rival.mixture
        return rival.mixture

    def _again(
        self, mixture: Mixture, wave: Wave, levels: Sequence[tuple[float, float]]
    ) -> Mixture:
        """The last two minutes gone through again: a wave had been taken for the roast's.

        What the air did meanwhile is not kept; its bends are those of now.
        """
        variance = self._error.of_level()
        now_s, began = mixture.time_s, None
        for time_s, level_c in levels:
            if began is not None and time_s > now_s:
                break
            level_c += (self._expected(time_s) or (0.0, 0.0))[0]
            if began is None:
                began = self._begun(time_s, level_c, variance, wave)
            else:
                self._move(began, time_s)
                began.update(level_c, variance, 0.0)
        assert began is not None
        self._move(began, now_s)
        return began

    def _expected(self, time_s: float) -> tuple[float, float] | None:
        """Level (°C) and slope (°C/s) of the course; most often they were asked for just before."""
        if self._course is None:
            return None
        if self._expected_at is None or self._expected_at[0] != time_s:
            return self._course.at(time_s)
        return self._expected_at[1]

    def _slope(self) -> float:
        return 0.0 if self._mixture is None else self._mixture.tracks[0].v

    def _begun(
        self, time_s: float, bean_c: float, variance: float, wave: Wave | None = None
    ) -> Mixture:
        slope = 0.0 if self._course is None else self._course.at(time_s)[1]
        slope_sd = _ANEW_SLOPE_C_PER_S if self._plunge_at_s is not None else 1.0
        return Mixture(
            self._hypotheses,
            time_s,
            bean_c,
            slope,
            4.0 * variance,
            slope_sd**2,
            stays_s(self._since_s(time_s), self._course is not None),
            wave,
        )

    def _move(self, mixture: Mixture, time_s: float) -> None:
        """Predict up to `time_s`, in short steps."""
        if mixture.wave is not None and time_s - mixture.time_s > _LONGEST_STEP_S * _MOST_STEPS:
            # Beside a wave variances are differences, and must not grow without end.
            mixture.lost(time_s, _LOST_LEVEL_C**2, _ANEW_SLOPE_C_PER_S**2)
            return
        steps = min(ceil((time_s - mixture.time_s) / _LONGEST_STEP_S), _MOST_STEPS)
        step_s = (time_s - mixture.time_s) / max(steps, 1)
        for _ in range(steps - 1):
            self._step(mixture, mixture.time_s + step_s)
        self._step(mixture, time_s)

    def _step(self, mixture: Mixture, time_s: float) -> None:
        beside, plunge_at_s = self._course is not None, self._plunge_at_s
        mixture.stays_s = stays_s(self._since_s(time_s), beside)
        q = restlessness(time_s, plunge_at_s, self._cracked_s, beside=beside)
        mixture.predict(time_s, q, self._gains(mixture, time_s))

    def _since_s(self, time_s: float) -> float:
        """Since the plunge, seconds."""
        return inf if self._plunge_at_s is None else time_s - self._plunge_at_s

    def _gains(self, mixture: Mixture, time_s: float) -> list[tuple[float, float]]:
        """What each hypothesis expects of level and slope beside going straight on."""
        course, now = self._course, mixture.pooled()
        now_s, dt = mixture.time_s, time_s - mixture.time_s
        expected = {BY_AIR: _STRAIGHT_ON}
        if self._plunge_at_s is not None and now_s - self._plunge_at_s > _SETTLED_S:
            expected[BY_AIR] = self._air.bends(now_s, now.x, now.v, dt)
        if course is not None:
            here, then = course.at(now_s), course.at(time_s)
            self._expected_at = time_s, then
            expected[BY_TIME] = expected[BY_PLACE] = _bend(here, then, dt)
            if self._has_place(course, now_s):
                place_s = course.place_s(now.x)
                if place_s is not None and place_s > course.turned_s + _PLACE_FROM_S / 2.0:
                    here, then = course.at(place_s), course.at(place_s + dt)
                    expected[BY_PLACE] = _bend(here, then, dt)
        return [expected.get(h.follows, _STRAIGHT_ON) for h in self._hypotheses]

    @staticmethod
    def _has_place(course: Course, time_s: float) -> bool:
        """Whether a temperature stands for one moment of the course."""
        return time_s > course.turned_s + _PLACE_FROM_S

    def _believes(self, time_s: float, bean_c: float, variance: float, calm: bool) -> bool:
        """Whether a reading is to be taken in; `variance` is what its error comes to in the long
        run and by rounding. If the readings insist, the filter begins anew where they are."""
        if self._readings < 2:
            return True
        assert self._mixture is not None
        level_c, level_variance = self._mixture.reading()
        off_c = bean_c - level_c
        verdict = self._gate.judge(time_s, bean_c, off_c, level_variance + variance)
        if verdict not in (Verdict.BELIEVED, Verdict.WILD):
            if self._rival is not None:
                # It may have been the wave that led astray.
                self._move(self._without_wave(self._rival), time_s)
            mixture, slope = self._mixture, self._gate.slope_c_per_s
            anew = bean_c, slope, _ANEW_LEVEL_C**2, _ANEW_SLOPE_C_PER_S**2
            begin = mixture.leap if verdict is Verdict.LEAPT else mixture.restart
            begin(*anew)
            if verdict is Verdict.ADRIFT:
                self._error.strayed(off_c)
            else:
                self._error.forget_neighbours()
        if verdict is not Verdict.BELIEVED or not calm:
            return verdict is not Verdict.WILD
        return not self._gate.leaps(time_s, off_c, variance, self._error.scatter)

    def _spread_at(self, time_s: float) -> float:
        cracked_s = self._cracked_s
        at_crack = cracked_s is not None and 0.0 <= time_s - cracked_s < _AFTER_CRACK_S
        return _SPREAD_AT_CRACK if at_crack else self._spread

    def _estimate(self, mixture: Mixture) -> Estimate:
        now = mixture.pooled()
        rate = now.v * SECONDS_PER_MINUTE
        expected = self._expected(mixture.time_s)
        return Estimate(
            time_s=mixture.time_s,
            bean_c=now.x,
            bean_sd_c=now.xx**0.5,
            rate_c_per_min=rate,
            rate_sd=self._spread_at(mixture.time_s) * now.vv**0.5 * SECONDS_PER_MINUTE,
            departure_c=None if expected is None else now.x - expected[0],
            departure_rate_c_per_min=(
                None if expected is None else rate - expected[1] * SECONDS_PER_MINUTE
            ),
        )


def _bend(here: tuple[float, float], then: tuple[float, float], dt: float) -> tuple[float, float]:
    """What a course gains in level (°C) and slope (°C/s) beside going straight on."""
    return then[0] - here[0] - here[1] * dt, then[1] - here[1]
