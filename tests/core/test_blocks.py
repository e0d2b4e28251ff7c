"""Readings in blocks. Every truth is computed here."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.blocks import between, gather
from roastside.core.freedom import smoothest
from roastside.core.jerk import Smooth

RANDOM = np.random.default_rng(7)


def line(interval_s: float, until_s: float = 400.0) -> tuple[np.ndarray, np.ndarray]:
    time_s = np.arange(0.0, until_s, interval_s)
    return time_s, 100.0 + 0.2 * time_s


def test_a_block_is_the_mean_of_two_seconds_of_readings_and_errs_less() -> None:
    time_s, bean_c = line(0.25)
    series = gather(time_s, bean_c + RANDOM.normal(0.0, 0.2, len(time_s)), 0.0)
    blocks = series.blocks()
    late = blocks.time_s > 100.0
    assert np.median(np.diff(blocks.time_s[late])) == pytest.approx(2.0)
    assert np.median(blocks.variance[late]) == pytest.approx(0.2**2 / 8.0, rel=0.15)
    off_c = (blocks.level_c - 100.0 - 0.2 * blocks.time_s)[late]
    assert np.std(off_c) == pytest.approx(0.2 / np.sqrt(8.0), rel=0.2)


def test_blocks_in_the_plunge_are_shorter_and_none_bridges_a_gap() -> None:
    time_s, bean_c = line(0.25)
    kept = (time_s < 200.6) | (time_s > 209.8)
    blocks = gather(time_s[kept], bean_c[kept], 0.0).blocks()
    assert np.median(np.diff(blocks.time_s[blocks.time_s < 70.0])) == pytest.approx(1.0)
    assert not np.any((blocks.time_s > 200.6) & (blocks.time_s < 209.8))


def test_slow_readings_are_blocks_of_their_own() -> None:
    time_s, bean_c = line(2.0)
    time_s = time_s + RANDOM.uniform(-0.2, 0.2, len(time_s))
    assert len(gather(time_s, bean_c, 0.0).blocks().time_s) == len(time_s)


@pytest.mark.parametrize("spike_c", [-60.0, -5.0, 5.0, 60.0])
def test_readings_that_stand_alone_are_left_out(spike_c: float) -> None:
    time_s, bean_c = line(1.0)
    bean_c = bean_c + RANDOM.normal(0.0, 0.1, len(time_s))
    spiky = bean_c.copy()
    spiky[[120, 250, 251, len(bean_c) - 1]] += spike_c
    kept = gather(time_s, spiky, 0.0).time_s
    assert sorted(set(time_s) - set(kept)) == [120.0, 250.0, 251.0, time_s[-1]]


@pytest.mark.parametrize("few", [1, 2, 4])
def test_a_few_readings_behind_a_gap_at_the_end_are_kept(few: int) -> None:
    time_s, bean_c = line(1.0)
    time_s = np.concatenate((time_s, 480.0 + np.arange(few)))
    bean_c = 100.0 + 0.2 * time_s
    assert 480.0 + few - 1 == gather(time_s, bean_c, 0.0).time_s[-1]
    assert len(gather(time_s, bean_c, 0.0).time_s) == len(time_s)


@pytest.mark.parametrize("spike_c", [-150.0, 150.0])
def test_no_probe_comes_so_far_in_a_gap(spike_c: float) -> None:
    time_s, bean_c = line(1.0)
    kept = (time_s < 200.0) | (np.abs(time_s - 230.0) < 0.5) | (time_s > 260.0)
    bean_c[230] += spike_c
    assert 230.0 not in gather(time_s[kept], bean_c[kept], 0.0).time_s


@pytest.mark.parametrize("wild_s", [371.0, 372.0, 373.0])
def test_of_three_readings_between_gaps_a_wild_one_is_told_by_the_others(wild_s: float) -> None:
    time_s, bean_c = line(1.0)
    kept = (time_s < 360.0) | ((time_s > 370.5) & (time_s < 373.5)) | (time_s > 389.0)
    bean_c[time_s == wild_s] += 12.0
    seen_s = gather(time_s[kept], bean_c[kept], 0.0).time_s
    assert wild_s not in seen_s
    assert len(seen_s) == np.count_nonzero(kept) - 1


def test_runs_of_four_readings_do_not_make_those_of_a_noisy_probe_wild() -> None:
    time_s, bean_c = line(1.0)
    bean_c = bean_c + np.random.default_rng(8).normal(0.0, 1.0, len(time_s))
    kept = (time_s < 60.0) | (time_s % 20.0 < 4.0)
    assert len(gather(time_s[kept], bean_c[kept], 0.0).time_s) == np.count_nonzero(kept)


def test_a_gap_does_not_hide_a_wild_reading_beside_it() -> None:
    time_s, bean_c = line(1.0)
    kept = (time_s <= 200.0) | (time_s >= 260.0)
    bean_c[[200, 260]] += 8.0
    seen_s = gather(time_s[kept], bean_c[kept], 0.0).time_s
    assert 200.0 not in seen_s
    assert 260.0 not in seen_s
    assert {199.0, 261.0} <= set(seen_s.tolist())


def test_a_lone_reading_in_the_plunge_may_lie_far_below_the_last() -> None:
    time_s = np.concatenate((np.arange(0.0, 5.0), [17.0], np.arange(40.0, 400.0)))
    bean_c = 80.0 + 120.0 * np.exp(-time_s / 15.0) + 0.2 * time_s
    assert len(gather(time_s, bean_c, 0.0).time_s) == len(time_s)


def test_two_wild_readings_just_before_the_end_are_left_out() -> None:
    time_s, bean_c = line(2.0)
    bean_c[[-3, -2]] += 27.0
    kept = gather(time_s, bean_c, 0.0).time_s
    assert kept.tolist() == [*time_s[:-3], time_s[-1]]


def test_a_plunge_is_no_spike() -> None:
    time_s = np.arange(0.0, 300.0, 2.0)
    bean_c = 100.0 + 0.15 * time_s + 130.0 * np.exp(-time_s / 12.0)
    assert len(gather(time_s, bean_c, 0.0).time_s) == len(time_s)


@pytest.mark.parametrize("noise_sd_c", [0.02, 0.1, 0.25])
def test_rounded_readings_tell_more_than_rounding_at_random_would(noise_sd_c: float) -> None:
    time_s, true_c = line(0.5)
    seen_c = np.round(true_c + RANDOM.normal(0.0, noise_sd_c, len(time_s)))
    series = gather(time_s, seen_c, 0.0)
    assert series.coarse
    blocks = series.blocks()
    first = smoothest(blocks.time_s, blocks.level_c, blocks.variance)
    refined = series.blocks_about(blocks, first)
    off_c = refined.level_c - 100.0 - 0.2 * refined.time_s
    worth = 1.0 / refined.variance
    weighted = np.sqrt(np.sum(worth * off_c**2) / np.sum(worth))
    plain = np.sqrt(np.mean((blocks.level_c - 100.0 - 0.2 * blocks.time_s) ** 2))
    assert weighted < 0.8 * plain
    # What each block claims to know, it does know: squares are as large as their variances.
    assert np.sum(worth * off_c**2) < 1.6 * len(off_c)


def test_fine_steps_under_noise_are_not_coarse() -> None:
    time_s, true_c = line(0.5)
    seen_c = np.round(4.0 * (true_c + RANDOM.normal(0.0, 0.25, len(time_s)))) / 4.0
    assert not gather(time_s, seen_c, 0.0).coarse


def test_between_blocks_runs_the_cubic_and_beyond_them_the_straight_line() -> None:
    time_s = np.array([0.0, 2.0, 5.0, 9.0])
    smooth = Smooth(time_s**3, 3.0 * time_s**2, np.ones(4), np.ones(4))
    at_s = np.linspace(0.0, 9.0, 31)
    level, slope = between(time_s, smooth, at_s)
    assert level == pytest.approx(at_s**3)
    assert slope == pytest.approx(3.0 * at_s**2)
    level, slope = between(time_s, smooth, np.array([-1.0, 10.0]))
    assert level.tolist() == pytest.approx([0.0, 729.0 + 243.0])
    assert slope.tolist() == pytest.approx([0.0, 243.0])
