"""Hum on a roast, and errors that last. Every truth is computed here."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.freedom import smoothest
from roastside.core.hum import Hum, find_broad_hum, find_hum
from roastside.core.humming import lasting_told, smoothest_beside
from roastside.core.lasting import long_run_variance
from roastside.core.smooth import smooth_roast

TIME_S = np.arange(0.0, 640.0, 2.0)
CALM = TIME_S > 60.0
ROAST = 250.0 - 150.0 * np.exp(-TIME_S / 400.0) - 0.8 * np.tanh((TIME_S - 520.0) / 12.0)


def white(seed: int, sd_c: float) -> np.ndarray:
    return np.random.default_rng(seed).normal(0.0, sd_c, len(TIME_S))


def wandering(seed: int, sd_c: float, remains: float) -> np.ndarray:
    """Noise of which a share remains after each step."""
    noise = white(seed, sd_c)
    for k in range(1, len(noise)):
        noise[k] = remains * noise[k - 1] + np.sqrt(1.0 - remains**2) * noise[k]
    return noise


def wave(period_s: float) -> np.ndarray:
    """Mains hum as sampled: its phase creeps."""
    creep = 0.2 * np.sin(TIME_S / 40.0)
    found: np.ndarray = 0.2 * np.sin(2.0 * np.pi * (TIME_S / period_s + creep))
    return found


@pytest.mark.parametrize("period_s", [5.0, 9.0, 18.0, 32.0])
def test_a_wave_is_found_though_its_phase_creeps(period_s: float) -> None:
    found = find_hum(TIME_S, ROAST + wave(period_s) + white(8, 0.05), 2.0, CALM)
    assert found is not None
    assert 1.0 / found.frequency_hz == pytest.approx(period_s, rel=0.25)
    assert 0.3 < found.variance / (0.2**2 / 2.0) < 1.5


def straying(period_s: float, strays: float = 0.45) -> np.ndarray:
    """Hum so slow and so unsteady that its spectrum is no line."""
    creep = strays * np.sin(TIME_S / 33.0)
    found: np.ndarray = 0.2 * np.sin(2.0 * np.pi * (TIME_S / period_s + creep))
    return found


def off_c_per_min(value: np.ndarray) -> float:
    """By how much the smoother's rate is off, °C/min, while the roast is calm."""
    smoothed = smooth_roast(TIME_S, value, 0.0)
    truth = np.gradient(ROAST, TIME_S)
    settled = CALM & (TIME_S < 600.0)
    return 60.0 * float(np.sqrt(np.mean((smoothed.slope_c_per_s - truth)[settled] ** 2)))


@pytest.mark.parametrize("period_s", [36.0, 40.0])
@pytest.mark.parametrize("seed", range(3))
def test_slow_hum_that_strays_is_told_apart_though_it_has_no_line(
    seed: int, period_s: float
) -> None:
    noise = white(seed, 0.12)
    humming = ROAST + straying(period_s) + noise
    assert find_hum(TIME_S, humming, 2.0, CALM) is None
    found = find_broad_hum(TIME_S, humming, 2.0, CALM)
    assert found is not None
    assert 1.0 / found.frequency_hz == pytest.approx(period_s, rel=0.35)
    # A wave of 0.2 °C followed as if it were the roast is off by 0.2 × 2π / 36 s / √2 on average.
    followed = 60.0 * 0.2 * 2.0 * np.pi / period_s / np.sqrt(2.0)
    assert off_c_per_min(humming) < 0.35 * followed
    assert off_c_per_min(ROAST + noise) < 0.35 * followed


@pytest.mark.parametrize("remains", [0.0, 0.3, 0.5])
@pytest.mark.parametrize("seed", range(4))
def test_errors_that_last_are_not_taken_for_hum(seed: int, remains: float) -> None:
    """Their spectrum too rises above white errors, where it is slow."""
    value = ROAST + wandering(seed, 0.1, remains)
    hum = find_broad_hum(TIME_S, value, 2.0, CALM) or Hum(1.0 / 30.0, 0.005)
    variance = np.full(len(TIME_S), 0.1**2 * (1.0 - remains))
    long_run = long_run_variance(TIME_S[CALM], value[CALM]) or 0.0
    beside = smoothest_beside(hum, TIME_S, value, variance).told
    lasting = lasting_told(TIME_S, value, variance, long_run, 2.0)
    plain = smoothest(TIME_S, value, variance).told
    assert beside < max(lasting, plain) + 5.0


@pytest.mark.parametrize("seed", range(4))
def test_errors_that_last_ten_seconds_do_no_harm_whatever_they_are_taken_for(seed: int) -> None:
    """By chance they come as a wave; on some of these the hum is the likelier explanation."""
    assert off_c_per_min(ROAST + wandering(seed, 0.1, 0.8)) < 0.4


@pytest.mark.parametrize("seed", range(5))
def test_there_is_none_on_a_roast_with_plain_noise(seed: int) -> None:
    assert find_hum(TIME_S, ROAST + white(seed, 0.1), 2.0, CALM) is None
    assert find_hum(TIME_S, ROAST + wandering(seed, 0.1, 0.5), 2.0, CALM) is None


def test_gaps_do_not_hide_it_nor_make_one() -> None:
    kept = (np.abs(TIME_S - 210.0) > 9.0) & (np.abs(TIME_S - 400.0) > 7.0)
    quiet, humming = ROAST + white(8, 0.02), ROAST + wave(18.0) + white(8, 0.02)
    found = find_hum(TIME_S[kept], humming[kept], 2.0, CALM[kept])
    assert found is not None
    assert 1.0 / found.frequency_hz == pytest.approx(18.0, rel=0.25)
    assert find_hum(TIME_S[kept], quiet[kept], 2.0, CALM[kept]) is None


def test_too_short_a_roast_is_not_asked() -> None:
    assert find_hum(TIME_S, ROAST + np.sin(TIME_S), 2.0, TIME_S < 100.0) is None


@pytest.mark.parametrize("period_s", [9.0, 18.0, 32.0])
def test_roast_and_wave_are_told_apart(period_s: float) -> None:
    value, variance = ROAST + wave(period_s) + white(8, 0.05), np.full(len(TIME_S), 0.05**2)
    found = find_hum(TIME_S, value, 2.0, CALM)
    assert found is not None
    settled = CALM & (TIME_S < 600.0)
    apart = smoothest_beside(found, TIME_S, value, variance)
    together = smoothest(TIME_S, value, variance)
    off, followed = ((one.level - ROAST)[settled] for one in (apart, together))
    assert np.sqrt(np.mean(off**2)) < 0.5 * np.sqrt(np.mean(followed**2))
    assert np.mean(np.abs(off) < 1.645 * np.sqrt(apart.level_variance[settled])) > 0.75


def test_beside_a_wave_of_no_size_the_curve_is_as_without() -> None:
    value, variance = ROAST + white(9, 0.1), np.full(len(TIME_S), 0.01)
    apart = smoothest_beside(Hum(0.1, 1e-12), TIME_S, value, variance)
    alone = smoothest(TIME_S, value, variance)
    assert apart.told == pytest.approx(alone.told, abs=1e-3)
    assert apart.level == pytest.approx(alone.level, abs=1e-5)
    assert apart.slope == pytest.approx(alone.slope, abs=1e-5)
    assert apart.level_variance == pytest.approx(alone.level_variance, rel=1e-4)
    assert apart.slope_variance == pytest.approx(alone.slope_variance, rel=1e-4)


@pytest.mark.parametrize("sd_c", [0.02, 0.3])
def test_white_errors_weigh_their_variance(sd_c: float) -> None:
    found = [long_run_variance(TIME_S, ROAST + white(seed, sd_c)) for seed in range(8)]
    assert np.median([v for v in found if v]) == pytest.approx(sd_c**2, rel=0.25)


@pytest.mark.parametrize("remains", [0.3, 0.5])
def test_lasting_errors_weigh_more(remains: float) -> None:
    """A share r that remains after each step makes the long run (1 + r) / (1 - r) times as much."""
    found = [long_run_variance(TIME_S, ROAST + wandering(seed, 0.2, remains)) for seed in range(8)]
    truth = 0.2**2 * (1.0 + remains) / (1.0 - remains)
    assert np.median([v for v in found if v]) == pytest.approx(truth, rel=0.45)


def test_it_is_not_known_from_less_than_half_a_minute_or_across_gaps() -> None:
    assert long_run_variance(TIME_S[:14], ROAST[:14]) is None
    torn_s = TIME_S + 30.0 * (np.arange(len(TIME_S)) // 10)
    assert long_run_variance(torn_s, ROAST) is None
