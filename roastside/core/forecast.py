"""When the next milestones will come, with an interval."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.core.path import Path
from roastside.core.surely import FOUR_IN_FIVE

_FURTHEST_S = 900.0
_STEP_S = 8.0
_LEAST_RATE_C_PER_S = 0.5 / 60.0


@dataclass(frozen=True, slots=True)
class Expected:
    """A milestone expected at `at_s`, with an 80 % interval; elapsed seconds."""

    at_s: float
    low_s: float
    high_s: float

    @property
    def sd_s(self) -> float:
        """How unsure that is, a standard deviation."""
        return (self.high_s - self.at_s) / FOUR_IN_FIVE


def with_spread(at_s: float, sd_s: float, not_before_s: float) -> Expected:
    """An 80 % interval around a moment that can not lie before now."""
    return Expected(
        at_s=max(at_s, not_before_s),
        low_s=max(at_s - FOUR_IN_FIVE * sd_s, not_before_s),
        high_s=max(at_s + FOUR_IN_FIVE * sd_s, not_before_s),
    )


def crossing(now_s: float, target_c: float, target_sd_c: float, path: Path) -> Expected | None:
    """When the bean curve will reach `target_c`; None if it is not on its way there.

    `now_s` elapsed seconds. The spread is that of the path and of the target itself, turned into
    seconds by the slope at the crossing.
    """
    before = path.at(0.0)
    if before >= target_c:
        slope = max(path.at(1.0) - before, _LEAST_RATE_C_PER_S)
        return with_spread(now_s, (path.variance(0.0) + target_sd_c**2) ** 0.5 / slope, now_s)
    seconds = 0.0
    while seconds < _FURTHEST_S:
        seconds += _STEP_S
        after = path.at(seconds)
        if after >= target_c:
            seconds, slope = _found(path, target_c, seconds - _STEP_S, before, after)
            sd_s = (path.variance(seconds) + target_sd_c**2) ** 0.5 / slope
            return with_spread(now_s + seconds, sd_s, now_s)
        before = after
    return None


def _found(
    path: Path, target_c: float, from_s: float, from_c: float, to_c: float
) -> tuple[float, float]:
    """The moment (s) within one step at which the path passes the target, and its slope (°C/s)."""
    half_s = from_s + _STEP_S / 2.0
    half_c = path.at(half_s)
    if half_c < target_c:
        from_s, from_c = half_s, half_c
    else:
        to_c = half_c
    slope = (to_c - from_c) / (_STEP_S / 2.0)
    return from_s + (target_c - from_c) / slope, max(slope, _LEAST_RATE_C_PER_S)
