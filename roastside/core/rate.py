"""Rate of rise: how fast the bean temperature climbs, and how sure that is."""

from __future__ import annotations

from collections.abc import Callable
from copy import copy
from dataclasses import dataclass
from math import exp

from roastside.core.noise import NoiseMeter
from roastside.core.tracker import Tracker

SECONDS_PER_MINUTE = 60.0

Baseline = Callable[[float], tuple[float, float]]
"""Stream time (s) to the expected bean temperature (°C) and its slope (°C/s)."""

# Process noise, °C²/s³. The square of it times a time span is the variance by which the slope
# wanders in that span: 3e-5 over a minute is 2.5 °C/min, what a hand on the controls does.
_Q_FREE = 3e-5
_Q_DEPARTURE = 4e-6
_Q_PREHEAT = 1e-3

# A probe of time constant PROBE_LAG_S thrown from hot air into cold beans moves by
# A exp(-t/lag): its slope changes by A/lag within the lag, and ever less after. _Q_PLUNGE is
# that for A = 100 °C, and it dies away with the square of the exponential.
PROBE_LAG_S = 15.0
_Q_PLUNGE = 4.0
_Q_PLUNGE_DEPARTURE = 0.2

_GATE_SDS = 5.0
_GATE_READINGS = 3
_GATE_SECONDS = 1.5

_ANEW_LEVEL_C = 1.0
_ANEW_SLOPE_C_PER_S = 8.0
"""How little is known of level and slope where the filter begins anew in a roast."""

_SURPRISE_MEMORY_S = 8.0
_SURPRISE_BEGINS = 1.5
_SURPRISE_MOST = 30.0

_WARM_UP_READINGS = 3


@dataclass(frozen=True, slots=True)
class Estimate:
    """Where the bean curve is. °C, and °C per minute with its standard deviation.

    `departure_c`, `departure_rate_c_per_min` are against the baseline (None without one).
    """

    time_s: float
    bean_c: float
    bean_sd_c: float
    rate_c_per_min: float
    rate_sd: float
    departure_c: float | None = None
    departure_rate_c_per_min: float | None = None


class RateFilter:
    """Rate of rise from irregular, noisy, spiky readings; causal, one estimate a reading.

    A Kalman filter on the bean temperature, or, given a `baseline` (the reference laid in
    stream time), on the departure from it: what the reference already explains need not be
    learned again. `plunge_at_s` is when beans met the probe (charge) or left it (drop): from
    there the slope is set free, and tightens as the probe settles; None is preheat. A reading
    far outside what is expected is passed over unless the next ones agree with it; if surprises
    go on the filter loosens by itself.
    """

    def __init__(
        self,
        plunge_at_s: float | None = None,
        baseline: Baseline | None = None,
        noise: NoiseMeter | None = None,
    ) -> None:
        self._plunge_at_s = plunge_at_s
        self._baseline = baseline
        self._noise = noise or NoiseMeter()
        self._tracker: Tracker | None = None
        self._readings = 0
        self._outliers = 0
        self._outliers_since_s = 0.0
        self._surprise = 1.0
        self._last_weighed_s = 0.0

    def update(self, time_s: float, bean_c: float) -> Estimate | None:
        """Take in a reading; None until there are enough to tell a rate. Times must not go back."""
        self._noise.update(time_s, bean_c)
        expected, slope = self._expected(time_s)
        value = bean_c - expected
        variance = self._noise.variance
        tracker = self._tracker
        if tracker is None:
            slope_sd = _ANEW_SLOPE_C_PER_S if self._plunge_at_s is not None else 1.0
            tracker = self._tracker = Tracker(time_s, value, 4.0 * variance, slope_sd**2)
            self._readings = 1
            self._last_weighed_s = time_s
            return None
        tracker.predict(time_s, self.process_noise(time_s))
        if self._accept(time_s, value - tracker.level, tracker.level_variance + variance):
            self._weigh_surprise(time_s, value - tracker.level, tracker.level_variance + variance)
            tracker.update(value, variance)
            self._readings += 1
        if self._readings < _WARM_UP_READINGS:
            return None
        return self._estimate(tracker, expected, slope)

    def coast(self, time_s: float) -> Estimate | None:
        """Where the curve should be at `time_s` with no reading to say so; changes nothing."""
        if self._tracker is None or self._readings < _WARM_UP_READINGS:
            return None
        coasting = copy(self._tracker)
        coasting.predict(time_s, self.process_noise(time_s))
        return self._estimate(coasting, *self._expected(time_s))

    def process_noise(self, time_s: float) -> float:
        """How freely the slope may wander at `time_s`, °C²/s³."""
        departure = self._baseline is not None
        if self._plunge_at_s is None:
            return _Q_PREHEAT
        since = max(time_s - self._plunge_at_s, 0.0)
        plunge = _Q_PLUNGE_DEPARTURE if departure else _Q_PLUNGE
        steady = _Q_DEPARTURE if departure else _Q_FREE
        loosened = min(max(self._surprise / _SURPRISE_BEGINS, 1.0) ** 3, _SURPRISE_MOST)
        return plunge * exp(-2.0 * since / PROBE_LAG_S) + steady * loosened

    def bean_ahead(self, seconds: float) -> tuple[float, float]:
        """Level (bean temperature, or departure with a baseline) `seconds` on, and its variance.

        Only to be asked after an estimate was given.
        """
        assert self._tracker is not None
        return self._tracker.ahead(seconds, self.process_noise(self._tracker.time_s))

    def _expected(self, time_s: float) -> tuple[float, float]:
        return self._baseline(time_s) if self._baseline else (0.0, 0.0)

    def _accept(self, time_s: float, innovation: float, variance: float) -> bool:
        if innovation * innovation <= _GATE_SDS**2 * variance or self._readings < 2:
            self._outliers = 0
            return True
        if self._outliers == 0:
            self._outliers_since_s = time_s
        self._outliers += 1
        lasting = time_s - self._outliers_since_s >= _GATE_SECONDS
        if self._outliers < _GATE_READINGS or not lasting:
            return False
        # The readings insist: the curve is elsewhere, and what was known of its slope is wrong too.
        assert self._tracker is not None
        self._outliers = 0
        level = self._tracker.level + innovation
        self._tracker.restart(level, _ANEW_LEVEL_C**2, _ANEW_SLOPE_C_PER_S**2)
        return True

    def _weigh_surprise(self, time_s: float, innovation: float, variance: float) -> None:
        weight = 1.0 - exp(-(time_s - self._last_weighed_s) / _SURPRISE_MEMORY_S)
        self._last_weighed_s = time_s
        self._surprise += weight * (min(innovation * innovation / variance, 9.0) - self._surprise)

    def _estimate(self, tracker: Tracker, expected: float, slope: float) -> Estimate:
        departure = self._baseline is not None
        own_rate = tracker.slope * SECONDS_PER_MINUTE
        return Estimate(
            time_s=tracker.time_s,
            bean_c=expected + tracker.level,
            bean_sd_c=tracker.level_variance**0.5,
            rate_c_per_min=slope * SECONDS_PER_MINUTE + own_rate,
            rate_sd=tracker.slope_variance**0.5 * SECONDS_PER_MINUTE,
            departure_c=tracker.level if departure else None,
            departure_rate_c_per_min=own_rate if departure else None,
        )
