"""When the next milestones will come, with an interval."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import exp

from roastside.core.rate import RateFilter

Z_80 = 1.2816
"""Half width of the central 80 % of a normal distribution, in standard deviations."""

FIRST_CRACK_SD_C = 1.5
"""How much the bean temperature at first crack differs from batch to batch. From memory, no source:
a setting of the method, not a fact."""

HAND_SD_S = 3.0
"""How far a person's drop lies from the moment aimed for. An assumption, no source."""

_FURTHEST_S = 900.0
_STEP_S = 4.0
_LEAST_RATE_C_PER_S = 0.5 / 60.0

_TREND_FADES_S = 45.0
"""A departure's own slope is believed for about this long; then the departure just stays."""


@dataclass(frozen=True, slots=True)
class Expected:
    """A milestone expected at `at_s`, with an 80 % interval; elapsed seconds."""

    at_s: float
    low_s: float
    high_s: float


def with_spread(at_s: float, sd_s: float, not_before_s: float) -> Expected:
    """An 80 % interval around a moment that can not lie before now."""
    return Expected(
        at_s=max(at_s, not_before_s),
        low_s=max(at_s - Z_80 * sd_s, not_before_s),
        high_s=max(at_s + Z_80 * sd_s, not_before_s),
    )


def faded(seconds: float) -> float:
    """How many seconds' worth of today's trend a departure still gains in `seconds`."""
    return _TREND_FADES_S * (1.0 - exp(-seconds / _TREND_FADES_S))


def crossing(
    now_s: float,
    target_c: float,
    target_sd_c: float,
    rate_filter: RateFilter,
    reference_c: Callable[[float], tuple[float, float]] | None,
) -> Expected | None:
    """When the bean curve will reach `target_c`; None if it is not on its way there.

    `now_s` elapsed seconds; `reference_c` gives the reference's temperature and slope at an
    elapsed time. With a reference the future is the reference plus today's departure, whose own
    trend fades; without one, today's rate goes on. The spread is that of the estimate carried
    forward and of the target itself, turned into seconds by the slope at the crossing.
    """
    level, variance = rate_filter.bean_ahead(0.0)
    trend = rate_filter.bean_ahead(1.0)[0] - level

    def bean_c(seconds: float) -> float:
        if reference_c is None:
            return level + trend * seconds
        return reference_c(now_s + seconds)[0] + level + trend * faded(seconds)

    before = bean_c(0.0)
    if before >= target_c:
        slope = max(bean_c(1.0) - before, _LEAST_RATE_C_PER_S)
        return with_spread(now_s, (variance + target_sd_c**2) ** 0.5 / slope, now_s)
    seconds = 0.0
    while seconds < _FURTHEST_S:
        seconds += _STEP_S
        after = bean_c(seconds)
        if after >= target_c:
            slope = (after - before) / _STEP_S
            seconds -= (after - target_c) / slope
            reach = min(seconds, _TREND_FADES_S) if reference_c else seconds
            variance = rate_filter.bean_ahead(reach)[1]
            slope = max(slope, _LEAST_RATE_C_PER_S)
            sd_s = (variance + target_sd_c**2) ** 0.5 / slope
            return with_spread(now_s + seconds, sd_s, now_s)
        before = after
    return None
