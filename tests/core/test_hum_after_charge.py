"""A wave on the readings of the preheat, after charge. Every truth is computed here."""

from __future__ import annotations

from collections.abc import Callable
from math import pi, sin
from random import Random

import pytest

from roastside.core.probe_error import ProbeError
from roastside.core.rate import RateFilter
from tests.core.roasts import Truth

PREHEAT_S = 200.0
TRUTH = Truth(charge_s=PREHEAT_S)
FROM_S, TO_S = 85.0, 118.0
"""After charge: the plunge is over, and no window of levels is full yet."""

Swing = Callable[[float], float]


def followed(before: Swing, after: Swing, known: bool, seed: int) -> tuple[float, ProbeError]:
    """Root mean square error of the rate, °C/min, with the preheat `known` or not."""
    random, error = Random(seed), ProbeError()
    preheat = RateFilter(None, None, error)
    times_s = [0.5 * k for k in range(int(2.0 * (PREHEAT_S + TO_S)))]
    seen_c = [
        TRUTH.bean_c(at) + (before if at < PREHEAT_S else after)(at) + random.gauss(0.0, 0.05)
        for at in times_s
    ]
    roast, off = RateFilter(PREHEAT_S, None, error if known else None), []
    for at, c in zip(times_s, seen_c, strict=True):
        if at < PREHEAT_S:
            preheat.update(at, c)
            continue
        now, elapsed_s = roast.update(at, c), at - PREHEAT_S
        if elapsed_s >= FROM_S:
            assert now is not None
            off.append(now.rate_c_per_min - 60.0 * TRUTH.slope_c_per_s(elapsed_s))
    return (sum(x * x for x in off) / len(off)) ** 0.5, error


def swings(size_c: float, period_s: float) -> Swing:
    return lambda at_s: size_c * sin(2.0 * pi * at_s / period_s)


def still(_: float) -> float:
    return 0.0


@pytest.mark.parametrize("period_s", [9.0, 17.0, 26.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_hum_of_the_preheat_is_followed_from_the_start(period_s: float, seed: int) -> None:
    hum = swings(0.25, period_s)
    known, error = followed(hum, hum, True, seed)
    anew, _ = followed(hum, hum, False, seed)
    assert error.wave is not None
    assert known < 0.75 * anew


@pytest.mark.parametrize("period_s", [12.0, 20.0, 29.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_thermostat_that_stops_swinging_is_soon_found_out(period_s: float, seed: int) -> None:
    swung, error = followed(swings(2.0, period_s), still, True, seed)
    calm, _ = followed(still, still, True, seed)
    assert error.wave is None
    assert swung < 1.5 * calm


@pytest.mark.parametrize("step_c", [0.0, 0.25, 0.5])
def test_errors_that_last_longer_than_ten_readings_weigh_so_however_they_are_rounded(
    step_c: float,
) -> None:
    """Ten a second, of which a share r is left in the next: s² (1 + r) / (1 - r) in the long run.

    The long-run variance of such a series: Box, Jenkins and Reinsel, "Time Series Analysis"
    (1994), section 3.2.3, spectrum of the first-order autoregressive process at frequency 0; from
    memory. To within a factor of three: where the steps are coarse it is told for more.
    """
    random, error, rate = Random(5), ProbeError(), None
    remains, sd_c = 0.92, 0.2
    rate = RateFilter(-200.0, None, error)
    off_c, told = 0.0, []
    for k in range(3600):
        at_s = 0.1 * k
        off_c = remains * off_c + (1.0 - remains**2) ** 0.5 * random.gauss(0.0, sd_c)
        seen_c = 120.0 + 0.2 * at_s + off_c
        rate.update(at_s, step_c * round(seen_c / step_c) if step_c else seen_c)
        if at_s > 180.0:
            told.append(error.of_reading(0.2)[0])
    long_run = sd_c**2 * (1.0 + remains) / (1.0 - remains)
    assert long_run / 3.0 < sum(told) / len(told) < 3.0 * long_run
