"""Rises, sudden falls and stalls of a rate that is known with an uncertainty.

Each watch takes a rate (°C/min), its standard deviation and the elapsed time, one estimate at a
time; `standing` tells whether what it looks for is going on, and `from_s`, `to_s`, `size` tell of
the latest. The highest and the lowest of many uncertain rates are further apart than the truth was:
`chance_sds` standard deviations of their difference are taken off for that. The limits are choices
of what matters to a roaster, not taken from a source.
"""

from __future__ import annotations

from math import hypot, inf

LEAST_RISE = 1.5
"""A rate must come up by so much, °C/min, to count as rising again."""

LEAST_FALL = 2.0
"""A fall must be so much beyond the steady decline, °C/min, to be called sudden."""

SUDDEN_WITHIN_S = 60.0
"""...and come within so long; what falls on is the new decline."""

STALL_RATE = 1.5
STALL_S = 20.0
"""A stall: less than this rate, °C/min, for so long."""

_SURE_SDS = 2.5
"""A change counts if it is so many standard deviations of the difference of its two ends."""

_TURNS_BACK = 1.0
"""A rising rate has turned once it is so far below its top, °C/min."""

_USUAL_OVER_S = 60.0
_SLACK_PER_S = 1.5 / 60.0
"""How much faster than its usual decline a rate must fall to be falling suddenly, °C/min per s."""

_FALL_HOLDS_S = 3.0
"""A fall is told so long after it was sure: by then a drop is known for what it is."""

_FALL_IS_OVER_S = 15.0


class RiseWatch:
    """Tops and bottoms of the rate: whether it rises again after it has begun to fall.

    Turning points of a noisy curve by reversal: a top is a top once the rate is enough below it,
    a bottom once the rate is enough above it. The first climb, from the turning point to `peak`
    (elapsed s, °C/min; None before it is over), is no rise in this sense.
    """

    def __init__(self, chance_sds: float = 0.0) -> None:
        self.standing = False
        self.peak: tuple[float, float] | None = None
        self.from_s = self.to_s = self.size = 0.0
        self._chance_sds = chance_sds
        self._climbing = True
        self._at_s, self._rate, self._sd = 0.0, -inf, 0.0
        self._low, self._low_sd = 0.0, 0.0

    def update(self, at_s: float, rate: float, sd: float) -> None:
        """Take in an estimate; times must not go back."""
        if self._climbing:
            if rate >= self._rate:
                self._turn(at_s, rate, sd)
                if self.standing:
                    self._grow(at_s, rate, sd)
            elif self._rate - rate >= max(_TURNS_BACK, _SURE_SDS * hypot(sd, self._sd)):
                if self.peak is None:
                    self.peak = (self._at_s, self._rate)
                self._climbing = self.standing = False
                self._turn(at_s, rate, sd)
        elif rate <= self._rate:
            self._turn(at_s, rate, sd)
        elif rate - self._rate >= _limit(LEAST_RISE, hypot(sd, self._sd), self._chance_sds):
            self._climbing = self.standing = True
            self.from_s, self._low, self._low_sd = self._at_s, self._rate, self._sd
            self._turn(at_s, rate, sd)
            self._grow(at_s, rate, sd)

    def _turn(self, at_s: float, rate: float, sd: float) -> None:
        self._at_s, self._rate, self._sd = at_s, rate, sd

    def _grow(self, at_s: float, rate: float, sd: float) -> None:
        self.to_s = at_s
        self.size = rate - self._low - self._chance_sds * hypot(sd, self._low_sd)


class FallWatch:
    """A fall of the rate faster than its own decline of the last minute or two.

    The cumulative sum of Page ("Continuous inspection schemes", Biometrika 41, 1954) tells where
    it began: how far the rate came down beyond its usual decline and some slack, never less than
    nought. `size` leaves the slack out.
    """

    def __init__(self, chance_sds: float = 0.0) -> None:
        self.standing = False
        self.from_s = self.to_s = self.size = 0.0
        self._chance_sds = chance_sds
        self._at_s: float | None = None
        self._rate = self._mean = self._usual_per_s = 0.0
        self._top_s = self._top = self._top_sd = 0.0
        self._sum = self._most = self._most_s = self._deepest = 0.0
        self._counts = False
        self._sure_s: float | None = None

    def update(self, at_s: float, rate: float, sd: float, counts: bool) -> None:
        """Take in an estimate; `counts`: a fall that goes on at this moment is worth telling."""
        if self._at_s is None:
            self._at_s, self._rate, self._mean = at_s, rate, rate
            self._begin(at_s, rate, sd)
            return
        self._counts = self._counts or counts
        passed_s = at_s - self._at_s
        self._sum += self._rate - rate - (self._usual_per_s + _SLACK_PER_S) * passed_s
        # The mean of so many seconds is behind a straight decline by so many seconds of it.
        self._mean += (rate - self._mean) * passed_s / (passed_s + _USUAL_OVER_S)
        self._at_s, self._rate = at_s, rate
        if self._sum > self._most:
            self._most, self._most_s = self._sum, at_s
            self._deepen(at_s, rate, sd)
        if self._sum <= 0.0 or self._is_over(at_s):
            self._begin(at_s, rate, sd)
        elif self._counts and self._sure_s is not None and at_s - self._sure_s >= _FALL_HOLDS_S:
            self.standing = True
            self.from_s, self.to_s, self.size = self._top_s, self._most_s, self._deepest

    def _begin(self, at_s: float, rate: float, sd: float) -> None:
        """A fall that follows is counted from here."""
        self.standing = False
        self._top_s, self._top, self._top_sd = at_s, rate, sd
        self._usual_per_s = max((self._mean - rate) / _USUAL_OVER_S, 0.0)
        self._sum = self._most = self._deepest = 0.0
        self._most_s = at_s
        self._counts = False
        self._sure_s = None

    def _deepen(self, at_s: float, rate: float, sd: float) -> None:
        spread = hypot(sd, self._top_sd)
        size = self._top - rate - self._usual_per_s * (at_s - self._top_s)
        self._deepest = size - self._chance_sds * spread
        if self._sure_s is None and size >= _limit(LEAST_FALL, spread, self._chance_sds):
            self._sure_s = at_s

    def _is_over(self, at_s: float) -> bool:
        return at_s - self._most_s > _FALL_IS_OVER_S or at_s - self._top_s > SUDDEN_WITHIN_S


class StallWatch:
    """A rate that stays near nought, or below, for a while."""

    def __init__(self) -> None:
        self.standing = False
        self.from_s = self.to_s = self.size = 0.0
        self._began_s: float | None = None
        self._lowest = inf

    def update(self, at_s: float, rate: float, sd: float) -> None:
        """Take in an estimate; times must not go back."""
        if rate > STALL_RATE:
            self._began_s, self._lowest, self.standing = None, inf, False
            return
        if self._began_s is None:
            if rate + sd > STALL_RATE:
                return
            self._began_s = at_s
        self._lowest = min(self._lowest, rate)
        if at_s - self._began_s >= STALL_S:
            self.standing = True
            self.from_s, self.to_s, self.size = self._began_s, at_s, self._lowest


def _limit(least: float, spread: float, chance_sds: float) -> float:
    """How far apart two rates must be, whose difference has the standard deviation `spread`."""
    return max(least + chance_sds * spread, _SURE_SDS * spread)
