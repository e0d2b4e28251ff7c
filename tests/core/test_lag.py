"""The probe's lag from the plunge at charge. Every truth is computed here."""

from __future__ import annotations

from dataclasses import replace
from math import exp
from textwrap import wrap

import numpy as np
import pytest
from numpy.typing import NDArray

from roastside.core.lag import (
    Lag,
    NoLag,
    lag_corrected,
    lag_corrected_now,
    probe_lag,
    worth,
)
from roastside.core.rate import Estimate, RateFilter
from roastside.core.smooth import smooth_roast
from roastside.core.units import FAHRENHEIT
from tests.core.roasts import Probe, Truth, readings

Curve = NDArray[np.float64]

NINETY_PERCENT_SDS = 1.645
LOG_COLUMNS = 70
"""What 80 columns leave to a line of the log, beside its time and its sign."""
LAGS_S = (6.0, 12.0, 20.0, 35.0)
PROBES = {
    "usual": Probe(noise_sd_c=0.25),
    "ten a second": Probe(interval_s=0.1, noise_sd_c=0.25),
    "whole degrees, every second": Probe(interval_s=1.0, noise_sd_c=0.1, step_c=1.0),
    "whole degrees, every other second": Probe(interval_s=2.0, noise_sd_c=0.2, step_c=1.0),
    "noisy": Probe(interval_s=0.25, noise_sd_c=0.6),
    "spiky and irregular": Probe(jitter_s=0.2, spike_share=0.02),
}


def seen(truth: Truth, probe: Probe, until_s: float = 400.0) -> tuple[Curve, Curve]:
    items = readings(truth, probe, until_s)
    return np.array([r.time_s for r in items]), np.array([r.bean_c for r in items])


def found(truth: Truth, probe: Probe, charge_off_s: float = 0.0) -> Lag:
    turning_s = truth.charge_s + truth.turning_point_s
    lag = probe_lag(*seen(truth, probe), truth.charge_s + charge_off_s, turning_s)
    assert isinstance(lag, Lag)
    return lag


def beans_c(truth: Truth, time_s: Curve) -> Curve:
    """What the probe of `truth` touches: B = T + lag T', by its own equations."""
    elapsed_s = time_s - truth.charge_s
    seen_c = np.array([truth.bean_c(at) for at in time_s.tolist()])
    slope = np.array([truth.slope_c_per_s(at) for at in elapsed_s.tolist()])
    beans: Curve = seen_c + truth.lag_s * slope
    return beans


def rms(values: Curve) -> float:
    return float(np.sqrt(np.mean(values**2)))


@pytest.mark.parametrize("probe", PROBES.values(), ids=PROBES.keys())
@pytest.mark.parametrize("lag_s", LAGS_S)
def test_the_lag_of_a_simple_probe_is_found(lag_s: float, probe: Probe) -> None:
    for seed in (1, 2):
        lag = found(Truth(lag_s=lag_s), replace(probe, seed=seed))
        assert abs(lag.tau_s - lag_s) < NINETY_PERCENT_SDS * lag.sd_s
        assert abs(lag.tau_s - lag_s) < 0.12 * lag_s
        assert lag.sd_s < 1.0 + 0.2 * lag_s


def test_a_wild_last_reading_does_not_matter() -> None:
    truth, turning_s = Truth(lag_s=14.0), 40.0 + Truth(lag_s=14.0).turning_point_s
    time_s, bean_c = seen(truth, PROBES["usual"], until_s=turning_s + 50.0)
    wild_c = np.append(bean_c[:-1], bean_c[-1] + 40.0)
    calm, wild = (probe_lag(time_s, values, 40.0, turning_s) for values in (bean_c, wild_c))
    assert isinstance(calm, Lag)
    assert isinstance(wild, Lag)
    assert abs(wild.tau_s - calm.tau_s) < 0.2


@pytest.mark.parametrize("off_s", [-4.0, 3.0])
def test_a_charge_mark_some_seconds_off_hardly_matters(off_s: float) -> None:
    truth = Truth(lag_s=14.0)
    right, off = found(truth, PROBES["usual"]), found(truth, PROBES["usual"], off_s)
    assert abs(off.tau_s - right.tau_s) < 0.2


@pytest.mark.parametrize("lag_s", LAGS_S)
def test_the_corrected_curve_is_much_closer_to_the_beans(lag_s: float) -> None:
    truth = Truth(lag_s=lag_s)
    turning_s = truth.charge_s + truth.turning_point_s
    for seed in range(4):
        time_s, bean_c = seen(truth, replace(PROBES["usual"], seed=seed), truth.drop_s)
        lag = probe_lag(time_s, bean_c, truth.charge_s, turning_s)
        assert isinstance(lag, Lag)
        smoothed = smooth_roast(time_s, bean_c, truth.charge_s)
        beans, corrected = beans_c(truth, smoothed.time_s), lag_corrected(smoothed, lag)
        for place in (
            np.abs(smoothed.time_s - turning_s) < 15.0,
            smoothed.time_s > turning_s + 45.0,
        ):
            raw_error = rms((smoothed.bean_c - beans)[place])
            assert rms((corrected - beans)[place]) < 0.25 * raw_error


def test_there_is_no_corrected_curve_before_the_probe_touches_beans() -> None:
    truth = Truth()
    time_s, bean_c = seen(truth, PROBES["usual"])
    lag = found(truth, PROBES["usual"])
    smoothed = smooth_roast(time_s, bean_c, truth.charge_s)
    corrected = lag_corrected(smoothed, lag)
    assert corrected.shape == smoothed.bean_c.shape
    assert truth.charge_s < lag.from_s < truth.charge_s + 15.0
    assert np.all(np.isnan(corrected) == (smoothed.time_s < lag.from_s))


@pytest.mark.parametrize("lag_s", [8.0, 20.0])
def test_the_corrected_reading_is_as_sure_as_it_says(lag_s: float) -> None:
    truth = Truth(lag_s=lag_s)
    inside, raw, corrected = [], [], []
    for seed in range(6):
        time_s, bean_c = seen(truth, replace(PROBES["usual"], seed=seed))
        lag = found(truth, replace(PROBES["usual"], seed=seed))
        live = RateFilter(truth.charge_s)
        for at, value, beans in zip(time_s, bean_c, beans_c(truth, time_s), strict=True):
            if at < truth.charge_s:
                continue
            estimate = live.update(at, value)
            if estimate is None or at < truth.charge_s + truth.turning_point_s + 45.0:
                continue
            now = lag_corrected_now(estimate, lag)
            assert now is not None
            inside.append(abs(now[0] - beans) < NINETY_PERCENT_SDS * now[1])
            raw.append(estimate.bean_c - beans)
            corrected.append(now[0] - beans)
    assert np.mean(inside) > 0.85
    assert rms(np.array(corrected)) < 0.4 * rms(np.array(raw))


def test_a_reading_before_the_probe_touches_beans_is_not_corrected() -> None:
    lag = Lag(15.0, 1.5, from_s=48.0)
    assert lag_corrected_now(Estimate(47.9, 120.0, 0.2, -200.0, 20.0), lag) is None


def test_the_correction_is_the_lag_times_the_rate() -> None:
    lag = Lag(15.0, 2.0, from_s=48.0)
    now = lag_corrected_now(Estimate(200.0, 120.0, 0.1, 12.0, 0.4), lag)
    # 12 °C/min is 0.2 °C/s; errors: 0.1 + 15 · 0.4 / 60 = 0.2 of the curve, 2 · 0.2 of the lag.
    assert now == pytest.approx((123.0, (0.2**2 + 0.4**2) ** 0.5))


def two_masses(
    sheath_s: float, junction_s: float, covered_s: float, seed: int
) -> tuple[Curve, Curve, Curve, float]:
    """A junction in a sheath that beans cover bit by bit: times, readings, beans, turning point.

    The beans warm towards hot air that the charge has cooled; charge at 40 s.
    """
    rng = np.random.default_rng(seed)
    air_after_c, limit_c = float(rng.uniform(185.0, 215.0)), float(rng.uniform(240.0, 262.0))
    warming_s, step_s = float(rng.uniform(190.0, 300.0)), 0.05
    sheath_c = junction_c = float(rng.uniform(185.0, 225.0))
    beans_now_c = 22.0
    time_s = step_s * np.arange(round(420.0 / step_s))
    beans, junction = np.full(len(time_s), np.nan), np.empty(len(time_s))
    for k, at in enumerate(time_s.tolist()):
        junction[k] = junction_c
        around_c = sheath_c
        if at >= 40.0:
            beans[k] = beans_now_c
            cooled = (limit_c - air_after_c) * exp(-(at - 40.0) / 100.0)
            beans_now_c += step_s * (limit_c - cooled - beans_now_c) / warming_s
            covered = 1.0 - exp(-(at - 40.0) / covered_s)
            around_c = sheath_c + covered * (beans_now_c - sheath_c)
        sheath_c += step_s * (around_c - sheath_c) / sheath_s
        junction_c += step_s * (sheath_c - junction_c) / junction_s
    every = slice(0, None, round(0.5 / step_s))
    looked = junction[every] + rng.normal(0.0, 0.2, len(junction[every]))
    turning_s = 50.0 + step_s * int(np.argmin(junction[time_s >= 50.0]))
    return time_s[every], np.round(4.0 * looked) / 4.0, beans[every], turning_s


def test_of_a_probe_with_two_lags_their_sum_is_found_within_the_interval() -> None:
    inside = []
    for seed in range(4):
        for sheath_s, junction_s in ((8.0, 1.5), (12.0, 3.0), (18.0, 4.0), (25.0, 5.0)):
            time_s, bean_c, beans, turning_s = two_masses(sheath_s, junction_s, 2.0, seed)
            lag = probe_lag(time_s, bean_c, 40.0, turning_s)
            assert isinstance(lag, Lag)
            off_s = lag.tau_s - sheath_s - junction_s
            inside.append(abs(off_s) < NINETY_PERCENT_SDS * lag.sd_s)
            smoothed = smooth_roast(time_s, bean_c, 40.0)
            true_c, settled = beans[time_s >= 40.0], smoothed.time_s > turning_s + 45.0
            raw_error = rms((smoothed.bean_c - true_c)[settled])
            assert rms((lag_corrected(smoothed, lag) - true_c)[settled]) < 0.4 * raw_error
    assert np.mean(inside) >= 0.85


def test_more_noise_makes_it_less_sure() -> None:
    truth = Truth(lag_s=20.0)
    quiet, noisy = (found(truth, Probe(noise_sd_c=sd, step_c=0.0)) for sd in (0.1, 3.0))
    assert noisy.sd_s > 1.3 * quiet.sd_s


HOUSE = Truth()
TURNING_S = HOUSE.charge_s + HOUSE.turning_point_s


def reason(
    time_s: Curve, bean_c: Curve, charge_s: float = 40.0, turning_s: float | None = TURNING_S
) -> str:
    lag = probe_lag(time_s, bean_c, charge_s, turning_s)
    assert isinstance(lag, NoLag)
    return lag.reason


def test_without_a_turning_point_it_says_so() -> None:
    assert "turning point, and there is none" in reason(*seen(HOUSE, Probe()), turning_s=None)


def test_too_soon_it_says_so() -> None:
    assert "not far enough" in reason(*seen(HOUSE, Probe(), until_s=TURNING_S + 15.0))


def test_without_readings_it_says_so() -> None:
    assert "not far enough" in reason(np.array([]), np.array([]))


def test_with_too_few_readings_it_says_so() -> None:
    assert "too few readings" in reason(*seen(HOUSE, Probe(interval_s=11.0)))


def test_a_probe_that_was_cold_at_charge_does_not_tell() -> None:
    time_s, bean_c = seen(Truth(preheat_c=65.0), Probe())
    assert "hardly fell" in reason(time_s, bean_c)


def test_a_plunge_drowned_in_noise_does_not_tell() -> None:
    time_s, bean_c = seen(HOUSE, Probe(interval_s=2.0, noise_sd_c=25.0))
    assert "does not fit one lag" in reason(time_s, bean_c)


def test_a_straight_fall_does_not_tell() -> None:
    """Nothing relaxes here: a probe cooling steadily, then warming steadily."""
    time_s = np.arange(0.0, 300.0, 0.5)
    bean_c = 100.0 + np.abs(time_s - 100.0)
    assert "does not fit one lag" in reason(time_s, bean_c, 40.0, 100.0)


def test_what_it_is_worth_is_said_in_figures_and_with_its_limits() -> None:
    said = worth(Lag(14.2, 1.6, 50.0), 9.0)
    # 14.2 s at 0.15 °C/s is 2.13 °C, and 1.6 s is 0.24 °C.
    assert said == (
        "Lag 14 ± 2 s: at 9.0 °C/min the probe reads 2.1 ± 0.2 °C low. "
        "Compare roasts by this curve; hot air still makes it read high."
    )


@pytest.mark.parametrize("rate_c_per_min", [-12.0, 0.0, 25.0])
def test_what_it_is_worth_fits_two_rows_of_the_smallest_screen(rate_c_per_min: float) -> None:
    said = worth(Lag(88.0, 18.0, 50.0), rate_c_per_min, FAHRENHEIT)
    assert len(wrap(said, width=LOG_COLUMNS)) == 2


def test_what_it_is_worth_can_be_said_in_fahrenheit_and_of_a_falling_curve() -> None:
    assert "at 16.2 °F/min the probe reads 3.8 ± 0.4 °F low" in worth(
        Lag(14.2, 1.6, 50.0), 9.0, FAHRENHEIT
    )
    assert "reads 0.7 ± 0.1 °C high" in worth(Lag(14.2, 1.6, 50.0), -3.0)
