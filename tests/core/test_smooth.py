"""Smoothing of a finished roast. Every truth is computed here."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from roastside.core.noise import NoiseMeter
from roastside.core.rate import PROBE_LAG_S, RateFilter
from roastside.core.smooth import smooth_roast
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


def matrix_smoother(
    time_s: np.ndarray, bean_c: np.ndarray, variance: float, charge_s: float
) -> tuple[np.ndarray, np.ndarray]:
    """Rauch, Tung and Striebel (AIAA Journal 3, 1965) in matrices, as the textbooks print it."""
    x, p = np.array([bean_c[0], 0.0]), np.diag([4.0 * variance, 64.0])
    at = time_s[0]
    moved, predicted, filtered = [], [], []
    h = np.array([[1.0, 0.0]])
    for now, value in zip(time_s, bean_c, strict=True):
        dt, at = now - at, now
        f = np.array([[1.0, dt], [0.0, 1.0]])
        q = 4.0 * exp(-2.0 * (now - charge_s) / PROBE_LAG_S) + 3e-5
        x = f @ x
        p = f @ p @ f.T + q * np.array([[dt**3 / 3.0, dt**2 / 2.0], [dt**2 / 2.0, dt]])
        moved.append(f)
        predicted.append((x, p))
        gain = p @ h.T / (h @ p @ h.T + variance)
        x = x + (gain * (value - x[0])).ravel()
        p = (np.eye(2) - gain @ h) @ p
        filtered.append((x, p))
    smoothed = [filtered[-1][0]]
    for k in range(len(time_s) - 2, -1, -1):
        ahead_x, ahead_p = predicted[k + 1]
        gain = filtered[k][1] @ moved[k + 1].T @ np.linalg.inv(ahead_p)
        smoothed.append(filtered[k][0] + gain @ (smoothed[-1] - ahead_x))
    states = np.array(smoothed[::-1])
    return states[:, 0], states[:, 1]


def test_it_equals_the_matrix_smoother() -> None:
    time_s, bean_c = arrays(Probe(interval_s=1.0, jitter_s=0.4, seed=3), until_s=160.0)
    after = time_s >= HOUSE.charge_s
    meter = NoiseMeter()
    for at, value in zip(time_s[after], bean_c[after], strict=True):
        meter.update(float(at), float(value))
    level, slope = matrix_smoother(time_s[after], bean_c[after], meter.sd_c**2, HOUSE.charge_s)
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    assert np.max(np.abs(smoothed.bean_c - level)) < 1e-6
    assert np.max(np.abs(smoothed.slope_c_per_s - slope)) < 1e-6


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


def test_it_begins_at_charge() -> None:
    time_s, bean_c = arrays(Probe())
    smoothed = smooth_roast(time_s, bean_c, HOUSE.charge_s)
    assert smoothed.time_s[0] == HOUSE.charge_s
    assert len(smoothed.time_s) == len(smoothed.bean_c) == len(smoothed.slope_c_per_s)


def test_readings_of_one_instant_are_no_trouble() -> None:
    time_s, bean_c = arrays(Probe(interval_s=1.0))
    doubled = smooth_roast(np.repeat(time_s, 2), np.repeat(bean_c, 2), HOUSE.charge_s)
    assert np.all(np.isfinite(doubled.bean_c))
    assert np.all(np.isfinite(doubled.slope_c_per_s))


def test_fewer_than_four_readings_are_refused() -> None:
    with pytest.raises(ValueError, match="at least four readings"):
        smooth_roast(np.array([0.0, 1.0, 2.0]), np.array([200.0, 190.0, 180.0]), 0.0)
