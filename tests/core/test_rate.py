"""Rate of rise against curves whose slope is known. Every truth is computed here."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from random import Random

import numpy as np
import pytest

from roastside.core.rate import Estimate, RateFilter
from roastside.core.readings import Reading
from tests.core.followed_rates import HOUSE, SETTLED_S, errors, estimates, laid, roast
from tests.core.roasts import Probe, Truth, reference_of


class Written:
    """A course that is a formula; every temperature is asked by its time alone."""

    turned_s = math.inf

    def __init__(self, at: Callable[[float], tuple[float, float]]) -> None:
        self.at = at

    def place_s(self, bean_c: float) -> float | None:
        return None


def two_point_errors(items: Sequence[Reading], window_s: float = 30.0) -> np.ndarray:
    """As `errors`, of the plain difference of two readings `window_s` apart."""
    time_s = np.array([r.time_s for r in items])
    bean_c = np.array([r.bean_c for r in items])
    now = np.flatnonzero(time_s - HOUSE.charge_s > SETTLED_S)
    then = np.searchsorted(time_s, time_s[now] - window_s + 1e-9)
    rate = 60.0 * (bean_c[now] - bean_c[then]) / (time_s[now] - time_s[then])
    true = [60.0 * HOUSE.slope_c_per_s(at) for at in time_s[now] - HOUSE.charge_s]
    return np.asarray(rate - np.array(true))


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


def test_no_rate_is_told_before_there_are_enough_readings() -> None:
    rate_filter = RateFilter()
    assert rate_filter.update(0.0, 200.0) is None
    assert rate_filter.update(0.5, 200.1) is None
    assert rate_filter.update(1.0, 200.2) is not None


@pytest.mark.parametrize("rate", [-12.0, 0.0, 4.5, 20.0])
def test_on_a_straight_line_it_finds_the_slope(rate: float) -> None:
    items = [Reading(0.5 * k, 150.0 + rate / 60.0 * 0.5 * k) for k in range(241)]
    last = estimates(items, plunge_at_s=0.0)[-1]
    # A roast slows down, and that is what is expected: one that does not is told so far off.
    assert last.rate_c_per_min == pytest.approx(rate, abs=0.15)
    assert last.bean_c == pytest.approx(150.0 + rate * 2.0, abs=0.05)


@pytest.mark.parametrize("interval_s", [2.0, 1.0, 0.5, 0.25, 0.1])
def test_it_is_steadier_than_a_thirty_second_difference(interval_s: float) -> None:
    items = roast(Probe(interval_s, noise_sd_c=0.25, step_c=0.25, jitter_s=0.05, seed=2))
    found = estimates(items, HOUSE.charge_s)
    assert rms(errors(found)) < 0.8 * rms(two_point_errors(items))


@pytest.mark.parametrize("interval_s", [2.0, 1.0, 0.5, 0.25, 0.1])
def test_with_a_reference_it_is_twice_as_steady_on_a_repeat(interval_s: float) -> None:
    reference = reference_of(HOUSE, Probe(seed=77))
    items = roast(Probe(interval_s, noise_sd_c=0.25, step_c=0.25, seed=2))
    found = estimates(items, HOUSE.charge_s, laid(reference, HOUSE))
    assert rms(errors(found)) < 0.5 * rms(two_point_errors(items))
    assert rms(errors(found)) < rms(errors(estimates(items, HOUSE.charge_s)))


def test_the_stated_deviation_covers_the_error() -> None:
    for interval_s in (1.0, 0.5, 0.25):
        items = roast(Probe(interval_s, noise_sd_c=0.25, step_c=0.25, seed=3))
        found = estimates(items, HOUSE.charge_s)
        stated = np.array([e.rate_sd for e in found])[-len(errors(found)) :]
        # Two deviations of a normal distribution hold 95 %.
        assert np.mean(np.abs(errors(found)) < 2.0 * stated) > 0.9
        # And it is no empty promise: not ten times the error either.
        assert rms(stated) < 4.0 * rms(errors(found))


def test_finer_sampling_never_makes_it_worse() -> None:
    by_interval = [
        np.mean(
            [
                rms(errors(estimates(roast(Probe(interval_s, 0.25, seed=s)), HOUSE.charge_s)))
                for s in (1, 2, 3)
            ]
        )
        for interval_s in (2.0, 0.5, 0.1)
    ]
    assert by_interval == sorted(by_interval, reverse=True)


def test_spikes_leave_the_rate_alone() -> None:
    clean = roast(Probe(seed=5))
    spiky = list(clean)
    for k in range(300, len(spiky), 97):
        spiky[k] = Reading(spiky[k].time_s, 0.0 if k % 2 else 400.0)
    calm = errors(estimates(clean, HOUSE.charge_s))
    shaken = errors(estimates(spiky, HOUSE.charge_s))
    # Let in, any of these would shake the rate by tens of °C/min.
    assert np.max(np.abs(shaken - calm)) < 1.0
    assert rms(shaken) < 1.2 * rms(calm)


@pytest.mark.parametrize("spikes", [1, 2, 3])
def test_a_short_run_of_wild_readings_is_passed_over(spikes: int) -> None:
    items = roast(Probe(seed=6))
    for k in range(spikes):
        items[600 + k] = Reading(items[600 + k].time_s, 0.0)
    worst = max(
        abs(e.bean_c - HOUSE.bean_c(e.time_s)) for e in estimates(items, HOUSE.charge_s)[590:]
    )
    assert worst < 1.0


def lasting_noise(seed: int, wild: Sequence[tuple[float, float]] = ()) -> list[Estimate]:
    """A steady rise under errors of 0.44 °C that last for a second, with wild readings added."""
    rng, error, items = Random(seed), 0.0, []
    kept = math.exp(-0.25 / 1.1)
    for at_s in np.arange(0.0, 400.0, 0.25):
        error = kept * error + math.sqrt(1.0 - kept * kept) * rng.gauss(0.0, 0.44)
        more = sum(off_c for wild_s, off_c in wild if wild_s == at_s)
        items.append(Reading(float(at_s), 100.0 + at_s / 6.0 + error + more))
    return estimates(items, -100.0)


@pytest.mark.parametrize("seed", range(4))
def test_spikes_within_what_lasting_errors_come_to_leave_the_rate_alone(seed: int) -> None:
    clean = lasting_noise(seed)
    spiky = lasting_noise(seed, [(300.0, 5.8), (300.25, 5.8), (340.0, -5.0)])
    off = [b.rate_c_per_min - a.rate_c_per_min for a, b in zip(clean, spiky, strict=True)]
    assert max(map(abs, off)) < 0.3


@pytest.mark.parametrize("seed", range(4))
def test_a_leap_under_lasting_errors_that_stays_is_believed(seed: int) -> None:
    stays = [(300.0 + 0.25 * k, 4.0) for k in range(400)]
    found = lasting_noise(seed, stays)
    assert found[-1].bean_c == pytest.approx(100.0 + found[-1].time_s / 6.0 + 4.0, abs=1.5)


def test_a_step_that_stays_is_believed_within_five_seconds() -> None:
    items = roast(Probe(seed=7))
    moved = [
        Reading(r.time_s, (r.bean_c or 0.0) + (12.0 if k >= 600 else 0.0))
        for k, r in enumerate(items)
    ]
    found = {e.time_s: e for e in estimates(moved, HOUSE.charge_s)}
    after = [found[r.time_s] for r in items[610:]]
    assert all(abs(e.bean_c - HOUSE.bean_c(e.time_s) - 12.0) < 1.5 for e in after)


def test_a_gap_widens_the_deviation_and_readings_narrow_it_again() -> None:
    items = roast(Probe(seed=8))
    gapped = [r for r in items if not 300.0 < r.time_s <= 360.0]
    found = estimates(gapped, HOUSE.charge_s)
    before = next(e for e in reversed(found) if e.time_s <= 300.0)
    first = next(e for e in found if e.time_s > 360.0)
    later = next(e for e in found if e.time_s > 420.0)
    assert first.rate_sd > 1.15 * before.rate_sd
    assert later.rate_sd < first.rate_sd


def test_the_plunge_does_not_smear_into_the_turning_point() -> None:
    found = estimates(roast(Probe(seed=9)), HOUSE.charge_s)
    turn_s = HOUSE.charge_s + HOUSE.turning_point_s
    rising = next(
        e.time_s for e in found if e.time_s > HOUSE.charge_s + 10.0 and e.rate_c_per_min > 0
    )
    assert rising == pytest.approx(turn_s, abs=4.0)
    just_after = next(e for e in found if e.time_s > turn_s + 20.0)
    true = 60.0 * HOUSE.slope_c_per_s(HOUSE.turning_point_s + 20.0)
    assert just_after.rate_c_per_min == pytest.approx(true, abs=4.0)


def test_when_the_roast_leaves_the_reference_the_filter_follows_the_roast() -> None:
    reference = reference_of(HOUSE, Probe(seed=77))
    hotter = Truth(limit_c=290.0)
    items = roast(Probe(seed=10), hotter)
    found = estimates(items, hotter.charge_s, laid(reference, hotter))
    assert rms(errors(found, hotter)) < 1.0
    departures = [e.departure_c for e in found if e.departure_c is not None]
    assert departures[-1] == pytest.approx(hotter.bean_c(660.0) - HOUSE.bean_c(660.0), abs=0.5)


def test_twenty_seconds_after_a_sudden_turn_from_the_reference_the_rate_is_there() -> None:
    errors_c_per_min = []
    for seed in range(12):
        random = Random(seed)
        rate_filter = RateFilter(0.0, Written(lambda at: (150.0 + 0.15 * at, 0.15)))
        last = None
        for k in range(441):
            at_s = 100.0 + 0.5 * k
            true_c = 150.0 + 0.15 * at_s + 0.1 * max(at_s - 300.0, 0.0)
            last = rate_filter.update(at_s, round((true_c + random.gauss(0.0, 0.15)) * 4) / 4)
        assert last is not None
        errors_c_per_min.append(last.rate_c_per_min - 15.0)
    # From 9 to 15 °C/min at 300 s; on average, so that noise does not decide.
    assert abs(np.mean(errors_c_per_min)) < 6.0 / 8.0


def test_without_a_reference_there_is_no_departure() -> None:
    last = estimates(roast(Probe()), HOUSE.charge_s)[-1]
    assert last.departure_c is None
    assert last.departure_rate_c_per_min is None


def test_several_readings_of_one_instant_are_no_trouble() -> None:
    random = Random(11)
    items = [
        Reading(float(k // 3), 100.0 + k // 3 / 6.0 + random.gauss(0, 0.1)) for k in range(900)
    ]
    last = estimates(items, plunge_at_s=0.0)[-1]
    assert last.rate_c_per_min == pytest.approx(10.0, abs=1.0)


@pytest.mark.parametrize("lag_s", [1.0, 2.0, 3.0, 30.0])
@pytest.mark.parametrize("interval_s", [0.1, 0.5, 2.0])
def test_a_probe_quicker_or_slower_than_the_references_is_tracked_soon_after_charge(
    lag_s: float, interval_s: float
) -> None:
    """The plunge then differs by scores of degrees; the filter must not lock onto it."""

    def bean_c(t: float, lag: float) -> float:
        settled = 235.0 - 165.0 * np.exp(-t / 330.0)
        return float(settled + (200.0 - 70.0) * np.exp(-t / lag))

    def baseline(t: float) -> tuple[float, float]:
        ahead, behind = bean_c(t + 0.05, 12.0), bean_c(t - 0.05, 12.0)
        return bean_c(t, 12.0), (ahead - behind) / 0.1

    rng = np.random.default_rng(3)
    rate = RateFilter(plunge_at_s=0.0, course=Written(baseline))
    for t in np.arange(0.0, 300.0, interval_s).tolist():
        estimate = rate.update(t, bean_c(t, lag_s) + float(rng.normal(0.0, 0.1)))
        if t > max(120.0, 6.0 * lag_s):
            truth = (bean_c(t + 0.05, lag_s) - bean_c(t - 0.05, lag_s)) / 0.1 * 60.0
            assert estimate is not None
            assert estimate.rate_c_per_min == pytest.approx(truth, abs=4.0)


def test_a_burst_far_off_leaves_no_false_rate_behind() -> None:
    rng = np.random.default_rng(4)
    rate = RateFilter(plunge_at_s=-200.0)
    for n in range(600):
        t = n * 0.5
        off = 60.0 if 100.0 <= t < 103.0 else 0.0
        estimate = rate.update(t, 150.0 + 0.15 * t + off + float(rng.normal(0.0, 0.1)))
        if t > 135.0:
            assert estimate is not None
            assert estimate.rate_c_per_min == pytest.approx(9.0, abs=3.0)


@pytest.mark.parametrize(("interval_s", "step_c"), [(1.0, 0.1), (0.25, 0.25)])
def test_a_lid_opened_for_ten_seconds_is_over_half_a_minute_later(
    interval_s: float, step_c: float
) -> None:
    """The probe sees air cooler by 20 °C through its lag of 6 s: a curve that is elsewhere twice,
    and no error of the probe."""
    from_s, lag_s, open_s, cooler_c = HOUSE.charge_s + 300.0, 6.0, 10.0, 20.0

    def dip_c(at_s: float) -> float:
        since_s = at_s - from_s
        down = 1.0 - math.exp(-min(max(since_s, 0.0), open_s) / lag_s)
        return -cooler_c * down * math.exp(-max(since_s - open_s, 0.0) / lag_s)

    opened = [
        Reading(r.time_s, (r.bean_c or 0.0) + dip_c(r.time_s))
        for r in roast(Probe(interval_s, noise_sd_c=0.1, step_c=step_c))
    ]
    found = [e for e in estimates(opened, HOUSE.charge_s) if 55.0 < e.time_s - from_s < 100.0]
    assert float(np.sqrt(np.mean(errors(found) ** 2))) < 1.5


@pytest.mark.parametrize("interval_s", [0.25, 1.0])
@pytest.mark.parametrize("leap_c", [4.0, -7.0])
def test_a_leap_is_no_change_of_the_rate(interval_s: float, leap_c: float) -> None:
    """A probe that is moved, a step of the adapter: after it the beans warm as before."""
    from_s = HOUSE.charge_s + 300.0
    leapt = [
        Reading(r.time_s, (r.bean_c or 0.0) + (leap_c if r.time_s > from_s else 0.0))
        for r in roast(Probe(interval_s, noise_sd_c=0.1))
    ]
    found = [e for e in estimates(leapt, HOUSE.charge_s) if 0.0 < e.time_s - from_s < 30.0]
    assert float(np.sqrt(np.mean(errors(found) ** 2))) < 1.3
