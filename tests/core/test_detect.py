"""Charge, turning point and drop found in readings whose truth is computed here."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import exp

import pytest

from roastside.core.detect import (
    PlungeDetector,
    TurningPointDetector,
    charge_detector,
    drop_detector,
)
from roastside.core.leaps import LeapJudge
from roastside.core.readings import Reading
from tests.core.roasts import Probe, Truth, readings

HOUSE = Truth()
INTERVALS_S = (0.1, 0.25, 0.5, 1.0, 2.0)


def first(detector: PlungeDetector, items: list[Reading]) -> tuple[float, float] | None:
    """Moment found, and the time of the reading that made it plain; leaps are left out before."""
    judge = LeapJudge()
    for item in items:
        if item.bean_c is not None and judge.believes(item.time_s, item.bean_c):
            found_s = detector.update(item.time_s, item.bean_c)
            if found_s is not None:
                return found_s, item.time_s
    return None


@pytest.mark.parametrize("interval_s", INTERVALS_S)
@pytest.mark.parametrize("lag_s", [5.0, 15.0, 25.0])
def test_charge_is_found_within_a_second(interval_s: float, lag_s: float) -> None:
    for noise_sd_c, step_c, drift in product((0.0, 0.3), (0.25, 1.0), (-0.08, 0.0, 0.08)):
        truth = Truth(lag_s=lag_s, drift_c_per_s=drift)
        probe = Probe(interval_s, noise_sd_c, step_c, jitter_s=0.05)
        found = first(charge_detector(), readings(truth, probe, until_s=120.0))
        assert found is not None
        # A slow adapter can not place it better than its own spacing.
        assert found[0] == pytest.approx(truth.charge_s, abs=max(1.0, interval_s))
        assert found[1] < truth.charge_s + 15.0


def test_a_probe_in_a_sheath_shows_charge_late_and_it_is_found_all_the_same() -> None:
    # Two lags in series: the fall is 1 - (a exp(-t/a) - b exp(-t/b)) / (a - b) of a step.
    for sheath_s, junction_s in ((12.0, 2.0), (18.0, 4.0), (28.0, 7.0)):
        items = []
        for k in range(160):
            since_s = max(0.5 * k - 40.0, 0.0)
            still = sheath_s * exp(-since_s / sheath_s) - junction_s * exp(-since_s / junction_s)
            fallen_c = 140.0 * (1.0 - still / (sheath_s - junction_s))
            items.append(Reading(0.5 * k, round((200.0 - fallen_c) * 4.0) / 4.0))
        unmoved = [item.time_s for item in items if (item.bean_c or 0.0) > 199.0]
        assert unmoved[-1] >= 40.5
        found = first(charge_detector(), items)
        assert found is not None
        assert found[0] == pytest.approx(40.0, abs=0.75)


def test_charge_is_found_among_spikes() -> None:
    for seed in range(5):
        probe = Probe(spike_share=0.02, seed=seed)
        found = first(charge_detector(), readings(HOUSE, probe, until_s=120.0))
        assert found is not None
        assert found[0] == pytest.approx(HOUSE.charge_s, abs=1.5)


def preheating(probe: Probe, dip_c: float = 0.0, dip_s: float = 15.0) -> list[Reading]:
    """A machine kept at 200 °C; at 60 s its probe dips by `dip_c` and comes back."""

    def seen_c(at_s: float) -> float:
        since_s = max(at_s - 60.0, 0.0) / dip_s
        return 200.0 - dip_c * since_s * exp(1.0 - since_s)

    return [
        Reading(r.time_s, round((seen_c(r.time_s) + (r.bean_c or 0.0) - HOUSE.preheat_c) * 4) / 4)
        for r in readings(Truth(charge_s=1e9), probe, until_s=300.0)
    ]


@pytest.mark.parametrize("interval_s", INTERVALS_S)
def test_a_door_opened_for_a_moment_is_no_charge(interval_s: float) -> None:
    assert first(charge_detector(), preheating(Probe(interval_s), dip_c=8.0)) is None


def test_wild_readings_are_no_charge_alone_or_in_a_row() -> None:
    for length in (1, 2, 3, 6):
        for wild_c in (0.0, 25.0, 400.0, -40.0):
            items = preheating(Probe())
            for k in range(100, 100 + length):
                items[k] = Reading(items[k].time_s, wild_c)
            assert first(charge_detector(), items) is None


def test_an_empty_machine_cooling_down_is_no_charge() -> None:
    for rate in (-5.0, -15.0, -30.0):
        items = [Reading(0.5 * k, 220.0 + rate / 120.0 * k) for k in range(500)]
        assert first(charge_detector(), items) is None


def test_a_cold_probe_falling_is_no_charge() -> None:
    truth = Truth(preheat_c=75.0, begins_c=30.0)
    assert first(charge_detector(), readings(truth, until_s=120.0)) is None


def test_a_plunge_is_suspected_before_it_is_plain() -> None:
    detector = drop_detector()
    for item in readings(HOUSE):
        assert item.bean_c is not None
        if detector.update(item.time_s, item.bean_c) is not None:
            break
        if 120.0 < item.time_s < HOUSE.charge_s + HOUSE.drop_s:
            assert not detector.suspects
    assert detector.suspects


@pytest.mark.parametrize("interval_s", INTERVALS_S)
@pytest.mark.parametrize("lag_s", [5.0, 15.0, 25.0])
def test_drop_is_found_within_a_second_and_a_half(interval_s: float, lag_s: float) -> None:
    truth = Truth(lag_s=lag_s)
    for noise_sd_c, seed in product((0.0, 0.3), (1, 2)):
        items = readings(truth, Probe(interval_s, noise_sd_c, seed=seed))
        found = first(drop_detector(), [r for r in items if r.time_s > 150.0])
        assert found is not None
        assert found[0] == pytest.approx(truth.charge_s + truth.drop_s, abs=max(1.5, interval_s))


@pytest.mark.parametrize("interval_s", INTERVALS_S)
def test_a_crash_in_the_rate_is_no_drop(interval_s: float) -> None:
    # After first crack the rate falls to nought and the beans even cool by two degrees.
    def seen_c(at_s: float) -> float:
        return (
            170.0 + 0.15 * at_s if at_s < 200.0 else 200.0 - 2.0 * (1.0 - exp(-(at_s - 200.0) / 20))
        )

    count = int(300.0 / interval_s)
    items = [Reading(k * interval_s, round(seen_c(k * interval_s) * 4) / 4) for k in range(count)]
    assert first(drop_detector(), items) is None


def test_wild_readings_are_no_drop_alone_or_in_a_row() -> None:
    for length in (1, 2, 3, 6):
        items = [r for r in readings(HOUSE, until_s=650.0) if r.time_s > 150.0]
        for k in range(500, 500 + length):
            items[k] = Reading(items[k].time_s, 0.0)
        assert first(drop_detector(), items) is None


@pytest.mark.parametrize("interval_s", INTERVALS_S)
def test_two_pairs_of_wild_readings_soon_after_each_other_are_no_drop(interval_s: float) -> None:
    # Of five readings in a row three are wild then, and so is their median.
    items = [
        item for item in readings(HOUSE, Probe(interval_s)) if item.time_s < HOUSE.drop_s - 30.0
    ]
    for off_c, apart in product((25.0, -25.0), (4, 5)):
        for begin in range(len(items) // 2, len(items) - 20, 7):
            wild = {begin, begin + 1, begin + apart, begin + apart + 1}
            spoiled = [
                replace(item, bean_c=(item.bean_c or 0.0) + off_c * (k in wild))
                for k, item in enumerate(items[begin - 30 :], begin - 30)
            ]
            assert first(drop_detector(), spoiled) is None


def turning(truth: Truth, probe: Probe) -> float | None:
    detector, judge = TurningPointDetector(truth.charge_s), LeapJudge()
    for item in readings(truth, probe, until_s=200.0):
        assert item.bean_c is not None
        if judge.believes(item.time_s, item.bean_c) and item.time_s >= truth.charge_s:
            found_s = detector.update(item.time_s, item.bean_c)
            if found_s is not None:
                return found_s - truth.charge_s
    return None


@pytest.mark.parametrize("interval_s", INTERVALS_S)
@pytest.mark.parametrize("lag_s", [8.0, 15.0, 25.0])
def test_the_turning_point_is_found_within_three_seconds(interval_s: float, lag_s: float) -> None:
    truth = Truth(lag_s=lag_s)
    for noise_sd_c, step_c, seed in product((0.0, 0.25), (0.25, 1.0), (1, 2)):
        found_s = turning(truth, Probe(interval_s, noise_sd_c, step_c, seed=seed))
        assert found_s == pytest.approx(truth.turning_point_s, abs=max(3.0, 2.0 * interval_s))


def test_the_turning_point_is_found_among_spikes() -> None:
    for seed in range(6):
        found_s = turning(HOUSE, Probe(spike_share=0.03, seed=seed))
        assert found_s == pytest.approx(HOUSE.turning_point_s, abs=3.0)


def test_while_the_probe_still_falls_there_is_no_turning_point() -> None:
    detector = TurningPointDetector(0.0)
    for k in range(300):
        assert detector.update(0.5 * k, 200.0 - 0.2 * k) is None


@pytest.mark.parametrize("off_c", [-40.0, -18.0, -10.0, 18.0])
@pytest.mark.parametrize("interval_s", [0.25, 0.5, 1.0])
def test_two_wild_readings_in_the_plunge_are_no_turning_point(
    interval_s: float, off_c: float
) -> None:
    items = [r for r in readings(HOUSE, Probe(interval_s), until_s=200.0) if r.bean_c is not None]
    charge = next(k for k, r in enumerate(items) if r.time_s >= HOUSE.charge_s)
    for first_wild in range(charge + 4, charge + round(16.0 / interval_s)):
        detector, judge, found_s = TurningPointDetector(HOUSE.charge_s), LeapJudge(), None
        for k, item in enumerate(items):
            assert item.bean_c is not None
            bean_c = item.bean_c + (off_c if k in (first_wild, first_wild + 1) else 0.0)
            if judge.believes(item.time_s, bean_c) and k >= charge and found_s is None:
                found_s = detector.update(item.time_s, bean_c)
        assert found_s is not None
        assert found_s - HOUSE.charge_s == pytest.approx(HOUSE.turning_point_s, abs=4.0)
