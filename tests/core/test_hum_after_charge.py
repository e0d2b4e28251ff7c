"""A wave on the readings of the preheat, after charge. Every truth is computed here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import inf, pi, sin, sqrt
from random import Random

import pytest

from roastside.core.probe_error import ProbeError
from roastside.core.rate import RateFilter
from roastside.core.waving import Wave
from tests.core.roasts import Truth

PREHEAT_S = 200.0
TRUTH = Truth(charge_s=PREHEAT_S)
FROM_S, TO_S = 85.0, 118.0
"""After charge: the plunge is over, and no levels have been looked at yet."""

Swing = Callable[[float], float]


@dataclass
class Followed:
    """A roast: its errors of the rate (°C/min) by when they were made, in seconds after charge."""

    off: dict[float, float] = field(default_factory=dict)
    error: ProbeError = field(default_factory=ProbeError)
    waves: dict[float, Wave | None] = field(default_factory=dict)

    def rms(self, from_s: float = FROM_S, to_s: float = TO_S) -> float:
        off = [x for at_s, x in self.off.items() if from_s <= at_s < to_s]
        return (sum(x * x for x in off) / len(off)) ** 0.5


def followed(
    before: Swing,
    after: Swing,
    seed: int,
    *,
    known: bool = True,
    until_s: float = TO_S,
    silent_s: tuple[float, float] = (inf, inf),
    sd_c: float = 0.05,
) -> Followed:
    """A roast that swings so before and after charge, its preheat `known` or not.

    silent_s: from when to when after charge nothing is read.
    """
    random, out = Random(seed), Followed()
    preheat = RateFilter(error=out.error)
    if not known:
        out.error = ProbeError()
    roast = RateFilter(PREHEAT_S, None, out.error)
    for k in range(int(2.0 * (PREHEAT_S + until_s))):
        at_s, after_s = 0.5 * k, 0.5 * k - PREHEAT_S
        seen_c = TRUTH.bean_c(at_s) + (before if after_s < 0.0 else after)(at_s)
        seen_c += random.gauss(0.0, sd_c)
        if after_s < 0.0:
            preheat.update(at_s, seen_c)
        elif not silent_s[0] <= after_s < silent_s[1]:
            now = roast.update(at_s, seen_c)
            out.waves[after_s] = out.error.wave
            if now is not None:
                out.off[after_s] = now.rate_c_per_min - 60.0 * TRUTH.slope_c_per_s(after_s)
                assert now.rate_sd > 0.0
    return out


def swings(size_c: float, period_s: float) -> Swing:
    return lambda at_s: size_c * sin(2.0 * pi * at_s / period_s)


def still(_: float) -> float:
    return 0.0


@pytest.mark.parametrize("period_s", [9.0, 17.0, 26.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_hum_of_the_preheat_is_followed_from_the_start(period_s: float, seed: int) -> None:
    hum = swings(0.25, period_s)
    known, anew = followed(hum, hum, seed), followed(hum, hum, seed, known=False)
    assert all(wave is not None for at_s, wave in known.waves.items() if at_s > 45.0)
    assert known.rms() < 0.75 * anew.rms()


@pytest.mark.parametrize("period_s", [20.0, 29.0])
@pytest.mark.parametrize("seed", [1, 2])
def test_a_thermostat_that_stops_swinging_is_found_out(period_s: float, seed: int) -> None:
    swung, calm = followed(swings(2.0, period_s), still, seed), followed(still, still, seed)
    assert swung.waves[46.0] is not None
    assert swung.waves[80.0] is None
    assert swung.rms() < 2.5 * calm.rms()
    swings_c_per_min = 60.0 * 2.0 * 2.0 * pi / period_s / sqrt(2.0)
    assert swung.rms() < 0.05 * swings_c_per_min


def test_hum_that_goes_on_in_another_size_is_found_again() -> None:
    """It is no error of the size the preheat showed beside its own hum: readings so judged are
    wild, all of them."""
    changed = followed(swings(2.0, 20.0), swings(0.8, 20.0), 1, until_s=300.0, sd_c=0.02)
    assert changed.waves[100.0] is None
    assert changed.waves[200.0] is not None
    assert changed.rms(140.0, 300.0) < 1.0


def test_where_readings_leap_the_hum_is_not_taken_for_granted_any_more() -> None:
    hum = swings(0.25, 17.0)

    def leaping(at_s: float) -> float:
        return hum(at_s) + (9.0 if at_s > PREHEAT_S + 60.0 else 0.0)

    leapt = followed(hum, leaping, 1, until_s=300.0)
    assert leapt.waves[59.0] is not None
    assert leapt.waves[70.0] is None
    assert leapt.rms(200.0, 300.0) < 1.5


def test_nor_after_minutes_of_silence() -> None:
    hum = swings(0.25, 17.0)
    silent = followed(hum, hum, 1, until_s=420.0, silent_s=(80.0, 230.0))
    anew = followed(hum, hum, 1, until_s=420.0, silent_s=(80.0, 230.0), known=False)
    assert silent.waves[230.0] is None
    assert silent.rms(230.0, 420.0) < 1.2 * anew.rms(230.0, 420.0)


@pytest.mark.parametrize(
    ("step_c", "sd_c", "remains"), [(0.25, 0.15, 0.93), (0.25, 0.15, 0.96), (0.5, 0.3, 0.96)]
)
def test_errors_that_last_for_many_readings_weigh_so_though_they_are_rounded(
    step_c: float, sd_c: float, remains: float
) -> None:
    """Ten a second, of which a share r is left in the next: s² (1 + r) / (1 - r) in the long run.

    The long-run variance of such a series: Box, Jenkins and Reinsel, "Time Series Analysis"
    (1994), section 3.2.3, spectrum of the first-order autoregressive process at frequency 0; from
    memory. On a quick roast, where readings differ by the climb alone.
    """
    random, error, slope_c_per_s = Random(5), ProbeError(), 0.6
    rate, off_c, told = RateFilter(-200.0, None, error), 0.0, []
    for k in range(4800):
        at_s = 0.1 * k
        off_c = remains * off_c + (1.0 - remains**2) ** 0.5 * random.gauss(0.0, sd_c)
        seen_c = 20.0 + slope_c_per_s * at_s + off_c
        rate.update(at_s, step_c * round(seen_c / step_c))
        if at_s > 180.0:
            told.append(error.of_reading(slope_c_per_s)[0])
    long_run = sd_c**2 * (1.0 + remains) / (1.0 - remains)
    assert 0.7 * long_run < sum(told) / len(told) < 1.8 * long_run
