"""A slow wave on readings as they come. Every truth is computed here."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import pairwise
from math import cos, exp, pi, sin, sqrt, tanh
from random import Random
from statistics import median

import numpy as np
import pytest

from roastside.core.slow_wave import SlowWave
from roastside.core.waving import Wave

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
    times_s: list[float],
    wave: Errors,
    error: Errors,
    expected_c: Errors = none,
    step_c: float = 0,
    cracked_s: float | None = None,
) -> tuple[SlowWave, list[tuple[float, Wave | None]]]:
    """What became of the readings, and the wave believed in after each."""
    slow, believed = SlowWave(), []
    for at_s in times_s:
        if cracked_s is not None and at_s >= cracked_s:
            slow.cracked_s = cracked_s
        seen_c = roast_c(at_s) + wave(at_s) + error(at_s)
        if step_c:
            seen_c = round(seen_c / step_c) * step_c
        slow.update(at_s, seen_c - expected_c(at_s), slope_c_per_s=slope_c_per_s(at_s))
        believed.append((at_s, slow.wave))
    return slow, believed


def share_believed(believed: list[tuple[float, Wave | None]]) -> float:
    return sum(wave is not None for _, wave in believed) / len(believed)


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("period_s", [4.3, 6.0, 9.0, 14.0, 22.0, 33.0])
def test_a_wave_is_found_with_its_frequency_and_size_though_its_phase_creeps(
    period_s: float, interval_s: float
) -> None:
    _, believed = heard(clock(interval_s), hum(period_s), white(0.05))
    late = [wave for at_s, wave in believed if at_s > BEGINS_S + 130.0]
    waves = [wave for wave in late if wave is not None]
    assert len(waves) > 0.9 * len(late)
    # The phase creeps by 0.2 sin(t / 40) of a turn, and levels of 2 s see a mirror of what is
    # faster than a quarter of a hertz.
    creeps_hz = 0.2 / 40.0
    assert median(wave.frequency_hz for wave in waves) == pytest.approx(
        1.0 / period_s, abs=creeps_hz + 1.0 / 120.0
    )
    # Sizes lie a factor of ten apart.
    true = WAVE_C**2 / 2.0
    assert 0.25 * true < median(wave.variance for wave in waves) < 2.5 * true


def test_it_is_found_beside_a_reference_too() -> None:
    slow, _ = heard(clock(0.5), hum(33.0), white(0.05), roast_c)
    assert slow.wave is not None
    assert slow.likely > 0.99


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("seed", range(4))
def test_none_is_believed_in_on_a_roast_with_plain_noise(seed: int, interval_s: float) -> None:
    _, believed = heard(clock(interval_s, seed), none, white(0.2, seed))
    assert share_believed(believed) < 0.1


@pytest.mark.parametrize("seed", range(4))
def test_nor_on_one_whose_errors_last(seed: int) -> None:
    _, believed = heard(clock(0.5, seed), none, lasting(0.2, 0.5, 1.5, seed))
    assert share_believed(believed) < 0.15


@pytest.mark.parametrize(("cracked_s", "most_c"), [(505.0, 0.02), (None, 0.05)])
@pytest.mark.parametrize("step_c", [0.0, 0.1])
def test_what_is_taken_for_one_on_a_roast_without_noise_is_no_more_than_its_steps(
    step_c: float, cracked_s: float | None, most_c: float
) -> None:
    """The dip at first crack is like the beginning of a wave, unless somebody heard the crack."""
    _, believed = heard(clock(0.5), none, none, step_c=step_c, cracked_s=cracked_s)
    largest = max((wave.variance for _, wave in believed if wave), default=0.0)
    assert largest < (most_c + 0.5 * step_c) ** 2


def test_a_wave_that_was_known_before_first_crack_is_followed_through_it() -> None:
    _, believed = heard(clock(0.5), hum(15.0), white(0.1), cracked_s=505.0)
    assert all(wave is not None for at_s, wave in believed if at_s > 500.0)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_reference_that_swings_is_no_wave_on_the_readings(seed: int) -> None:
    """Off it alone they swing; as they are they do not, and that is the plainer curve."""
    turn = 2.0 * pi / 20.0
    error, slow, off_alone = white(0.1, seed), SlowWave(), SlowWave()
    believed, off_believed = [], []
    for at_s in clock(0.5, seed):
        seen_c, slope = roast_c(at_s) + error(at_s), slope_c_per_s(at_s)
        course_c = roast_c(at_s) + WAVE_C * sin(turn * at_s)
        course_slope = slope + WAVE_C * turn * cos(turn * at_s)
        slow.update(at_s, seen_c, slope_c_per_s=slope, course=(course_c, course_slope))
        off_alone.update(at_s, seen_c - course_c, slope_c_per_s=slope - course_slope)
        believed.append((at_s, slow.wave))
        off_believed.append((at_s, off_alone.wave))
    assert share_believed(off_believed) > 0.7
    assert share_believed(believed) < 0.15


def test_hum_is_found_in_both_views_at_once() -> None:
    slow, error = SlowWave(), white(0.1)
    for at_s in clock(0.5):
        course = roast_c(at_s) + 0.01 * at_s, slope_c_per_s(at_s) + 0.01
        seen_c = roast_c(at_s) + hum(12.0)(at_s) + error(at_s)
        slow.update(at_s, seen_c, slope_c_per_s=slope_c_per_s(at_s), course=course)
    assert slow.wave is not None
    assert slow.wave.frequency_hz == pytest.approx(1.0 / 12.0, abs=0.01)
    # Sizes lie a factor of ten apart.
    assert 0.3 * WAVE_C**2 / 2.0 < slow.wave.variance < 3.0 * WAVE_C**2 / 2.0


def test_a_roast_that_bends_is_not_taken_for_errors_of_a_probe_that_hardly_errs() -> None:
    """Of 0.01 °C, ten times a second: what lasts is no more than a few times what it is."""
    error, slow = white(0.01), SlowWave()
    for at_s in clock(0.1):
        bent_c = roast_c(at_s) - 3.0 * tanh((at_s - 220.0) / 25.0)
        slow.update(at_s, bent_c + error(at_s))
        if slow.lasting is not None and at_s < 300.0:
            assert slow.lasting < 5.0 * 0.01**2 * 0.1


def test_what_was_a_wave_two_minutes_ago_is_expected_to_be_one_still() -> None:
    fades_s = BEGINS_S + 300.0

    def fading(at_s: float) -> float:
        return hum(20.0)(at_s) * (1.0 if at_s < fades_s else 0.25)

    times_s, error = clock(0.5), [white(0.1, seed) for seed in range(12)]
    after_s = [at_s for at_s in times_s if fades_s < at_s < fades_s + 120.0]
    until_s = [at_s for at_s in times_s if at_s < fades_s + 120.0]
    knowing = [heard(until_s, fading, each)[0].likely for each in error]
    new = [heard(after_s, fading, each)[0].likely for each in error]
    assert sum(knowing) > sum(new) + 1.0


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
    # The dip of the rate two minutes before the end is in part taken for an error.
    assert 0.6 * true < float(np.mean([each or 0.0 for each in found])) < 1.8 * true


def test_white_errors_weigh_what_they_weigh() -> None:
    found = [heard(clock(0.5, seed), none, white(0.3, seed))[0].lasting for seed in range(6)]
    true = 0.3**2 * 0.5
    assert 0.8 * true < float(np.mean([each or 0.0 for each in found])) < 1.5 * true


def test_nothing_is_believed_before_a_minute_and_a_gap_does_not_end_the_hum() -> None:
    times_s = [at_s for at_s in clock(0.5) if not 300.0 < at_s < 306.0]
    _, believed = heard(times_s, hum(12.0), none)
    assert not any(wave for at_s, wave in believed if at_s < BEGINS_S + 58.0)
    assert all(wave for at_s, wave in believed if at_s > BEGINS_S + 130.0)


def test_hum_that_ended_in_a_gap_is_soon_small_and_then_given_up() -> None:
    times_s = [at_s for at_s in clock(0.5) if not 300.0 < at_s < 306.0]
    _, believed = heard(times_s, lambda at_s: hum(12.0)(at_s) * (at_s < 303.0), white(0.05))
    assert all(wave for at_s, wave in believed if BEGINS_S + 130.0 < at_s < 364.0)
    sizes = [wave.variance for at_s, wave in believed if wave and at_s > 370.0]
    assert max(sizes) < 0.1 * WAVE_C**2 / 2.0
    assert believed[-1][1] is None


def test_what_can_not_be_looked_at_any_more_is_given_up_after_some_minutes() -> None:
    slow, _ = heard(clock(0.5), hum(12.0), white(0.05))
    assert slow.wave is not None
    stood = []
    for k in range(1, 201):
        slow.update(ENDS_S + 5.0 * k, roast_c(ENDS_S), slope_c_per_s=0.0)
        stood.append((5.0 * k, slow.wave is not None))
    assert all(there for after_s, there in stood if after_s < 220.0)
    assert not any(there for after_s, there in stood if after_s > 270.0)


def test_hum_goes_on_after_a_plunge_and_the_levels_before_it_count_no_more() -> None:
    slow, _ = heard(clock(0.5), hum(12.0), white(0.05))
    before = slow.wave
    assert before is not None
    slow.forget()
    assert slow.wave == before
    assert slow.levels() == []
    assert not slow.looked
    slow.refuted()
    assert slow.wave is None
    assert slow.likely == 0.0


def test_what_swings_as_slowly_as_a_thermostat_does_not() -> None:
    slow, _ = heard(clock(0.5), hum(38.0), white(0.05))
    assert slow.wave is not None
    slow.forget()
    assert slow.wave is None
    assert slow.likely == 0.0


@pytest.mark.parametrize("interval_s", [0.5, 2.0])
def test_its_levels_are_the_readings_means_in_the_middle_of_two_seconds(interval_s: float) -> None:
    slow, _ = heard(clock(interval_s, jitter=0.0), none, none)
    levels = slow.levels()
    assert len(levels) == 60
    steps_s = [later[0] - at[0] for at, later in pairwise(levels)]
    assert steps_s == pytest.approx([2.0] * 59)
    assert [level_c for _, level_c in levels] == pytest.approx(
        [roast_c(at_s) for at_s, _ in levels], abs=0.02
    )
    assert SlowWave().levels() == []


def test_a_reading_lost_here_and_there_is_bridged() -> None:
    times_s = [at_s for k, at_s in enumerate(clock(2.0, jitter=0.0)) if k % 23 != 22]
    slow, believed = heard(times_s, hum(20.0), none)
    assert share_believed(believed) > 0.7
    times_s = [at_s for at_s in clock(2.0, jitter=0.0) if at_s not in (582.0, 584.0)]
    slow, _ = heard(times_s, none, none)
    at_s, level_c = np.array(slow.levels()).T
    assert len(at_s) == 60
    assert np.diff(at_s) == pytest.approx([2.0] * 59)
    assert level_c == pytest.approx([roast_c(at) for at in at_s], abs=0.05)


@pytest.mark.parametrize("lost", [3, 20])
def test_more_lost_readings_in_a_row_are_not(lost: int) -> None:
    times_s = [at_s for at_s in clock(2.0, jitter=0.0) if not 580.0 < at_s <= 580.0 + 2.0 * lost]
    slow, _ = heard(times_s, none, none)
    assert slow.levels()[0][0] > 580.0 + 2.0 * lost - 2.0


def test_nor_where_every_fourth_is_lost() -> None:
    times_s = [at_s for k, at_s in enumerate(clock(2.0, jitter=0.0)) if k % 4]
    slow, _ = heard(times_s, none, none)
    assert len(slow.levels()) < 30


def test_readings_slower_than_the_levels_are_let_alone() -> None:
    slow, believed = heard(clock(3.0), hum(20.0), white(0.05))
    assert slow.lasting is None
    assert share_believed(believed) == 0.0
