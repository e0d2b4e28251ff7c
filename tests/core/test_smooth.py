"""Smoothing of a finished roast. Every truth is computed here."""

from __future__ import annotations

from itertools import accumulate

import numpy as np
import pytest

from roastside.core.rate import RateFilter
from roastside.core.smooth import Curve, smooth_roast
from tests.core.roasts import Probe, Truth, readings

HOUSE = Truth()


def arrays(probe: Probe, until_s: float = 660.0) -> tuple[np.ndarray, np.ndarray]:
    items = readings(HOUSE, probe, until_s)
    return np.array([r.time_s for r in items]), np.array([r.bean_c for r in items])


def true_bean_c(time_s: np.ndarray) -> np.ndarray:
    return np.array([HOUSE.bean_c(at) for at in time_s])


def true_slope(time_s: np.ndarray) -> np.ndarray:
    return np.array([HOUSE.slope_c_per_s(at - HOUSE.charge_s) for at in time_s])


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


@pytest.mark.parametrize("interval_s", [2.0, 1.0, 0.5, 0.25])
def test_it_is_closer_to_the_truth_than_the_readings_and_than_any_live_rate(
    interval_s: float,
) -> None:
    time_s, bean_c = arrays(Probe(interval_s, noise_sd_c=0.25, seed=4))
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    settled = smoothed.time_s > HOUSE.charge_s + 120.0
    seen = bean_c[time_s >= HOUSE.charge_s]
    true = true_bean_c(smoothed.time_s)
    assert rms((smoothed.bean_c - true)[settled]) < 0.5 * rms((seen - true)[settled])
    live = RateFilter(HOUSE.charge_s)
    estimates = [live.update(at, value) for at, value in zip(smoothed.time_s, seen, strict=True)]
    live_slope = np.array([0.0 if e is None else e.rate_c_per_min / 60.0 for e in estimates])
    slope = true_slope(smoothed.time_s)
    smooth_error = rms((smoothed.slope_c_per_s - slope)[settled])
    assert smooth_error < 0.7 * rms((live_slope - slope)[settled])


def test_it_has_no_lag() -> None:
    time_s, bean_c = arrays(Probe(noise_sd_c=0.25, seed=5))
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    settled = smoothed.time_s > HOUSE.charge_s + 60.0
    true = true_slope(smoothed.time_s)
    bend = np.gradient(true, smoothed.time_s)
    # Behind by L seconds, the slope would be off by L times the bend: a least-squares fit of L.
    error = smoothed.slope_c_per_s - true
    lag_s = -np.sum((error * bend)[settled]) / np.sum((bend * bend)[settled])
    assert abs(lag_s) < 1.0


def test_spikes_are_taken_out() -> None:
    time_s, bean_c = arrays(Probe(seed=6))
    clean = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    spiky = bean_c.copy()
    spiky[200::111] += 60.0
    spiky[260::111] = 0.0
    smoothed = smooth_roast(time_s, spiky, HOUSE.charge_s)
    assert np.max(np.abs(smoothed.bean_c - clean.bean_c)) < 1.0


def test_what_it_says_of_its_own_error_is_true() -> None:
    for seed in range(20, 26):
        time_s, bean_c = arrays(Probe(interval_s=1.0, noise_sd_c=0.25, seed=seed))
        smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
        off_c = smoothed.bean_c - true_bean_c(smoothed.time_s)
        off_slope = smoothed.slope_c_per_s - true_slope(smoothed.time_s)
        # 1.645 standard deviations to either side hold 90 % of a normal distribution.
        assert np.mean(np.abs(off_c) < 1.645 * smoothed.bean_sd_c) > 0.8
        assert np.mean(np.abs(off_slope) < 1.645 * smoothed.slope_sd_c_per_s) > 0.8
        assert rms(off_c) > 0.5 * rms(smoothed.bean_sd_c)
        assert rms(off_slope) > 0.15 * rms(smoothed.slope_sd_c_per_s)


def test_neither_the_plunge_nor_the_turning_point_smears() -> None:
    time_s, bean_c = arrays(Probe(noise_sd_c=0.12, seed=7))
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    plunge = smoothed.time_s < HOUSE.charge_s + HOUSE.turning_point_s + 20.0
    off_c = smoothed.bean_c - true_bean_c(smoothed.time_s)
    assert np.max(np.abs(off_c[plunge])) < 0.4
    lowest_s = smoothed.time_s[np.argmin(smoothed.bean_c)] - HOUSE.charge_s
    assert lowest_s == pytest.approx(HOUSE.turning_point_s, abs=1.5)


@pytest.mark.parametrize("step_c", [0.5, 1.0])
@pytest.mark.parametrize("noise_sd_c", [0.0, 0.15])
def test_readings_in_coarse_steps_are_smoothed_well_within_a_step(
    step_c: float, noise_sd_c: float
) -> None:
    time_s, bean_c = arrays(Probe(0.5, noise_sd_c, step_c, seed=11))
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    settled = (smoothed.time_s > HOUSE.charge_s + 120.0) & (smoothed.time_s < 650.0)
    off_c = (smoothed.bean_c - true_bean_c(smoothed.time_s))[settled]
    off_slope = (smoothed.slope_c_per_s - true_slope(smoothed.time_s))[settled]
    assert rms(off_c) < 0.06 * step_c
    assert rms(60.0 * off_slope) < 0.15


def test_hum_is_not_taken_for_the_roast() -> None:
    time_s, bean_c = arrays(Probe(noise_sd_c=0.1, seed=12))
    humming = bean_c + 0.25 * np.sin(2.0 * np.pi * time_s / 18.0)
    smoothed = smooth_roast(time_s, humming, HOUSE.charge_s)
    settled = (smoothed.time_s > HOUSE.charge_s + 120.0) & (smoothed.time_s < 650.0)
    off_slope = (smoothed.slope_c_per_s - true_slope(smoothed.time_s))[settled]
    # Followed, the hum would swing the slope by 2 pi / 18 s x 0.25 °C = 5.2 °C/min.
    assert rms(60.0 * off_slope) < 0.25


def test_noise_that_wanders_is_not_taken_for_the_roast() -> None:
    time_s, bean_c = arrays(Probe(interval_s=0.25, noise_sd_c=0.0, step_c=0.0))
    random = np.random.default_rng(13)
    noise, kept = np.zeros(len(time_s)), np.exp(-0.25 / 1.5)
    for k, fresh in enumerate(random.normal(0.0, 0.3 * np.sqrt(1.0 - kept**2), len(time_s))):
        noise[k] = kept * noise[k - 1] + fresh
    smoothed = smooth_roast(time_s, bean_c + noise, HOUSE.charge_s)
    settled = (smoothed.time_s > HOUSE.charge_s + 120.0) & (smoothed.time_s < 650.0)
    off_slope = np.abs(smoothed.slope_c_per_s - true_slope(smoothed.time_s))[settled]
    assert rms(60.0 * off_slope) < 0.4
    assert np.mean(off_slope < 1.645 * smoothed.slope_sd_c_per_s[settled]) > 0.75


def test_noise_that_wanders_is_not_taken_for_hum_either() -> None:
    """A line stands out of its spectrum by chance; taken for hum the curve followed every error."""
    time_s, bean_c = arrays(Probe(interval_s=0.1, noise_sd_c=0.0, step_c=0.0))
    random = np.random.default_rng(21)
    noise, kept = np.zeros(len(time_s)), np.exp(-0.1 / 1.5)
    for k, fresh in enumerate(random.normal(0.0, 0.5 * np.sqrt(1.0 - kept**2), len(time_s))):
        noise[k] = kept * noise[k - 1] + fresh
    smoothed = smooth_roast(time_s, bean_c + noise, HOUSE.charge_s)
    settled = (smoothed.time_s > HOUSE.charge_s + 120.0) & (smoothed.time_s < 650.0)
    off_slope = (smoothed.slope_c_per_s - true_slope(smoothed.time_s))[settled]
    assert rms(60.0 * off_slope) < 0.4


def test_a_gap_is_bridged_and_widens_the_uncertainty() -> None:
    time_s, bean_c = arrays(Probe(noise_sd_c=0.12, seed=14))
    kept = (time_s < 300.0) | (time_s > 330.0)
    smoothed = smooth_roast(time_s[kept], bean_c[kept], HOUSE.charge_s)
    edge, before = (int(np.searchsorted(smoothed.time_s, at)) for at in (330.5, 250.0))
    assert smoothed.bean_sd_c[edge] > 1.2 * smoothed.bean_sd_c[before]
    near = np.abs(smoothed.time_s - 315.0) < 40.0
    off_slope = (smoothed.slope_c_per_s - true_slope(smoothed.time_s))[near]
    assert np.max(np.abs(60.0 * off_slope)) < 0.5


def test_through_a_gap_it_tells_how_little_is_known_there() -> None:
    time_s, bean_c = arrays(Probe(noise_sd_c=0.12, seed=14))
    kept = (time_s < 300.0) | (time_s > 400.0)
    usual = smooth_roast(time_s[kept], bean_c[kept], HOUSE.charge_s)
    smoothed = smooth_roast(time_s[kept], bean_c[kept], HOUSE.charge_s, through_gaps=True)
    inside = (smoothed.time_s > 300.0) & (smoothed.time_s < 400.0)
    assert np.count_nonzero(inside) == 20
    sd_c = smoothed.bean_sd_c
    assert sd_c[inside].max() > 2.0 * sd_c[~inside & (smoothed.time_s > 200.0)].min()
    assert np.max(np.abs(smoothed.bean_c - true_bean_c(smoothed.time_s))[inside]) < 1.0
    assert np.array_equal(smoothed.bean_c[~inside], usual.bean_c)


def test_what_may_have_happened_in_a_gap_is_allowed_for() -> None:
    """First crack in it: the rate falls by 2 °C/min within half a minute, calm before and after.

    Common practice, no source.
    """
    time_s = np.arange(0.0, 400.0, 0.5)
    slope = 0.2 - 2.0 / 60.0 * np.clip((time_s - 235.0) / 30.0, 0.0, 1.0)
    true_c = 100.0 + np.cumsum(slope) * 0.5
    bean_c = true_c + np.random.default_rng(3).normal(0.0, 0.1, len(time_s))
    kept = (time_s < 220.0) | (time_s > 280.0)
    smoothed = smooth_roast(time_s[kept], bean_c[kept], 0.0, through_gaps=True)
    inside = (smoothed.time_s > 230.0) & (smoothed.time_s < 270.0)
    off_c = smoothed.bean_c - np.interp(smoothed.time_s, time_s, true_c)
    assert np.all(np.abs(off_c[inside]) < 2.5 * smoothed.bean_sd_c[inside])
    assert np.max(smoothed.bean_sd_c[inside]) < 0.5


def test_a_gap_in_hum_may_hide_first_crack_as_well() -> None:
    time_s = np.arange(0.0, 500.0, 0.5)
    noise_c = np.random.default_rng(4).normal(0.0, 0.1, len(time_s))
    plain_c = 100.0 + 0.2 * time_s + noise_c
    humming_c = plain_c + 0.6 * np.sin(2.0 * np.pi * time_s / 14.0)
    kept = (time_s < 300.0) | (time_s > 360.0)

    def doubt_c(bean_c: Curve) -> float:
        smoothed = smooth_roast(time_s[kept], bean_c[kept], 0.0, through_gaps=True)
        return float(np.max(smoothed.doubt_c))

    assert doubt_c(humming_c) > 0.9 * doubt_c(plain_c)


def test_of_errors_that_last_a_curve_that_bends_takes_no_more_than_it_must() -> None:
    """Their long-run variance is found too large here, and bends would be flattened by it."""
    random = np.random.default_rng(5)
    time_s = np.arange(0.0, 320.0, 0.1)
    slope = 0.65 * np.exp(-(((time_s - 120.0) / 170.0) ** 2))
    slope -= 0.03 * np.exp(-(((time_s - 270.0) / 12.0) ** 2))
    true_c = 60.0 + 0.1 * np.cumsum(slope) + 120.0 * np.exp(-time_s / 12.0)
    left = np.exp(-0.1 / 1.4)
    pushes = random.normal(0.0, 0.15 * np.sqrt(1.0 - left**2), len(time_s))
    errors = np.array(list(accumulate(pushes, lambda last, push: left * last + push)))
    smoothed = smooth_roast(time_s, true_c + errors, 0.0)
    settled = time_s > 100.0
    off = 60.0 * (smoothed.slope_c_per_s - slope)[settled]
    assert rms(off) < 0.33
    assert np.mean(np.abs(off) < 1.645 * 60.0 * smoothed.slope_sd_c_per_s[settled]) > 0.8


def test_readings_half_a_minute_apart_have_no_gaps_between_them() -> None:
    time_s, bean_c = arrays(Probe(interval_s=30.0))
    whole = smooth_roast(time_s, bean_c, HOUSE.charge_s, through_gaps=True)
    assert np.array_equal(whole.time_s, smooth_roast(time_s, bean_c, HOUSE.charge_s).time_s)


def test_it_begins_at_charge() -> None:
    time_s, bean_c = arrays(Probe())
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    assert smoothed.time_s[0] == HOUSE.charge_s
    assert len(smoothed.time_s) == len(smoothed.bean_c) == len(smoothed.slope_c_per_s)
    assert len(smoothed.time_s) == len(smoothed.bean_sd_c) == len(smoothed.slope_sd_c_per_s)


def test_readings_of_one_instant_are_no_trouble() -> None:
    time_s, bean_c = arrays(Probe(interval_s=1.0))
    doubled = smooth_roast(np.repeat(time_s, 2), np.repeat(bean_c, 2), HOUSE.charge_s)
    assert np.all(np.isfinite(doubled.bean_c))
    assert np.all(np.isfinite(doubled.slope_c_per_s))


def test_a_handful_of_readings_is_enough() -> None:
    time_s = np.array([0.0, 0.1, 0.2, 0.3, 0.4])
    smoothed = smooth_roast(time_s, 200.0 - 5.0 * time_s, 0.0)
    assert smoothed.bean_c == pytest.approx(200.0 - 5.0 * time_s, abs=0.05)


def test_a_probe_that_never_changes_has_no_slope() -> None:
    smoothed = smooth_roast(np.arange(0.0, 300.0), np.full(300, 25.0), 0.0)
    assert np.max(np.abs(smoothed.bean_c - 25.0)) < 1e-3
    assert np.max(np.abs(60.0 * smoothed.slope_c_per_s)) < 1e-2


def test_fewer_than_four_readings_are_refused() -> None:
    with pytest.raises(ValueError, match="at least four readings"):
        smooth_roast(np.array([0.0, 1.0, 2.0]), np.array([200.0, 190.0, 180.0]), 0.0)
