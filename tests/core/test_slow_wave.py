"""A slow wave on readings as they come. Every truth is computed here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import exp, pi, sin, sqrt, tanh
from random import Random

import numpy as np
import pytest

from roastside.core.slow_wave import SlowWave

WAVE_C = 0.2
BEGINS_S, ENDS_S = 60.0, 640.0

Clock = Iterator[float]
Errors = Callable[[float], float]


def roast_c(at_s: float) -> float:
    """Bean temperature: a rate that falls from 22 to 5 °C/min, and a dip of it at 520 s."""
    return 250.0 - 150.0 * exp(-at_s / 400.0) - 0.8 * tanh((at_s - 520.0) / 12.0)


def slope_c_per_s(at_s: float) -> float:
    return 150.0 / 400.0 * exp(-at_s / 400.0)


def clock(interval_s: float, seed: int = 1, jitter: float = 0.03) -> list[float]:
    random = Random(seed)
    count = int((ENDS_S - BEGINS_S) / interval_s)
    return [BEGINS_S + interval_s * (k + jitter * random.gauss(0.0, 1.0)) for k in range(count)]


def hum(period_s: float) -> Errors:
    """Mains hum as sampled: its phase creeps."""
    return lambda at_s: WAVE_C * sin(2.0 * pi * (at_s / period_s + 0.2 * sin(at_s / 40.0)))


def white(sd_c: float, seed: int = 2) -> Errors:
    random = Random(seed)
    return lambda _: random.gauss(0.0, sd_c)


def lasting(sd_c: float, interval_s: float, lasts_s: float, seed: int = 3) -> Errors:
    """Errors of which a share remains from one reading to the next."""
    random, remains, last = Random(seed), exp(-interval_s / lasts_s), 0.0

    def error(_: float) -> float:
        nonlocal last
        last = remains * last + sqrt(1.0 - remains**2) * random.gauss(0.0, sd_c)
        return last

    return error


def none(_: float) -> float:
    return 0.0


def heard(
    times_s: list[float], wave: Errors, error: Errors, expected_c: Errors = none, step_c: float = 0
) -> tuple[SlowWave, np.ndarray]:
    """What became of the readings: rows of time, the wave told beforehand and the true one."""
    slow, rows = SlowWave(), []
    for at_s in times_s:
        rows.append((at_s, slow.at(at_s), wave(at_s)))
        seen_c = roast_c(at_s) + wave(at_s) + error(at_s)
        if step_c:
            seen_c = round(seen_c / step_c) * step_c
        slow.update(at_s, seen_c - expected_c(at_s), slope_c_per_s(at_s))
    return slow, np.array(rows)


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("period_s", [6.0, 9.0, 14.0, 22.0, 33.0])
def test_a_wave_is_told_before_it_comes_though_its_phase_creeps(
    period_s: float, interval_s: float
) -> None:
    _, rows = heard(clock(interval_s), hum(period_s), white(0.05))
    settled = rows[rows[:, 0] > BEGINS_S + 130.0]
    assert rms(settled[:, 1] - settled[:, 2]) < 0.75 * rms(settled[:, 2])


def test_it_is_told_better_by_the_departure_from_a_reference() -> None:
    alone = heard(clock(0.5), hum(33.0), white(0.05))[1]
    beside = heard(clock(0.5), hum(33.0), white(0.05), roast_c)[1]
    late = alone[:, 0] > BEGINS_S + 130.0
    off_alone, off_beside = (rms((rows[:, 1] - rows[:, 2])[late]) for rows in (alone, beside))
    assert off_beside < 0.9 * off_alone


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("seed", range(4))
def test_on_a_roast_with_plain_noise_next_to_nothing_is_told(seed: int, interval_s: float) -> None:
    _, rows = heard(clock(interval_s, seed), none, white(0.2, seed))
    assert rms(rows[:, 1]) < 0.2 * 0.2


@pytest.mark.parametrize("seed", range(4))
def test_nor_on_one_whose_errors_last(seed: int) -> None:
    _, rows = heard(clock(0.5, seed), none, lasting(0.2, 0.5, 1.5, seed))
    assert rms(rows[:, 1]) < 0.3 * 0.2


@pytest.mark.parametrize("step_c", [0.0, 0.1])
def test_nor_on_a_fine_staircase_or_a_roast_without_any_error(step_c: float) -> None:
    _, rows = heard(clock(0.5), none, none, step_c=step_c)
    assert rms(rows[:, 1]) < 0.01


@pytest.mark.parametrize("interval_s", [0.25, 1.0])
@pytest.mark.parametrize("lasts_s", [0.5, 1.5])
def test_errors_that_last_weigh_what_they_weigh(lasts_s: float, interval_s: float) -> None:
    found = [
        heard(clock(interval_s, seed), none, lasting(0.3, interval_s, lasts_s, seed))[0].lasting
        for seed in range(6)
    ]
    # The spectral density of such errors at long times is that of white ones times
    # (1 + remains) / (1 - remains).
    remains = exp(-interval_s / lasts_s)
    true = 0.3**2 * interval_s * (1.0 + remains) / (1.0 - remains)
    assert all(each is not None for each in found)
    assert 0.6 * true < float(np.mean([each or 0.0 for each in found])) < 1.5 * true


def test_white_errors_weigh_what_they_weigh() -> None:
    found = [heard(clock(0.5, seed), none, white(0.3, seed))[0].lasting for seed in range(6)]
    true = 0.3**2 * 0.5
    assert 0.8 * true < float(np.mean([each or 0.0 for each in found])) < 1.5 * true


def test_nothing_is_told_before_a_minute_and_after_a_gap() -> None:
    times_s = clock(0.5)
    slow = SlowWave()
    told = []
    for at_s in times_s:
        if 300.0 < at_s < 306.0:
            continue
        told.append((at_s, slow.at(at_s)))
        slow.update(at_s, roast_c(at_s) + hum(12.0)(at_s), slope_c_per_s(at_s))
    early = [wave for at_s, wave in told if at_s < BEGINS_S + 58.0]
    after = [wave for at_s, wave in told if 306.0 <= at_s < 364.0]
    late = [abs(wave) for at_s, wave in told if at_s > 380.0]
    assert not any(early)
    assert not any(after)
    assert max(late) > 0.5 * WAVE_C


def test_a_wave_is_not_told_far_ahead() -> None:
    slow, rows = heard(clock(0.5), hum(12.0), white(0.02))
    assert slow.likely > 0.95
    assert slow.at(rows[-1, 0] + 6.0) == 0.0


def test_readings_slower_than_the_levels_are_let_alone() -> None:
    slow, rows = heard(clock(3.0), hum(20.0), white(0.05))
    assert slow.lasting is None
    assert not rows[:, 1].any()
