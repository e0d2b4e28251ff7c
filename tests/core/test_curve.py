"""The curve so far: the same whether charge was known at once or came to light later."""

from __future__ import annotations

from math import cosh, exp, pi, sin, sqrt, tanh
from random import Random

import pytest

from roastside.core.compare import Comparator
from roastside.core.curve import LiveCurve
from roastside.core.plan import RoastPlan
from roastside.core.probe_error import ProbeError
from roastside.core.rate import RateFilter
from roastside.core.readings import MarkName, MarkSource
from tests.core.roasts import Probe, Truth, readings, reference_of

HOUSE = Truth()
ITEMS = [(r.time_s, r.bean_c) for r in readings(HOUSE, Probe(seed=2)) if r.bean_c is not None]


def followed(curve: LiveCurve, from_s: float, to_s: float) -> dict[str, float]:
    """Moments the curve found by itself in this stretch of stream time."""
    found = [m for t, c in ITEMS if from_s <= t < to_s for m in curve.update(t, c)]
    assert all(mark.source is MarkSource.AUTO for mark in found)
    return {mark.mark: mark.time_s for mark in found}


@pytest.mark.parametrize("with_reference", [False, True])
def test_a_charge_told_late_gives_the_curve_of_one_known_from_the_start(
    with_reference: bool,
) -> None:
    def comparator() -> Comparator | None:
        return Comparator(reference_of(HOUSE, Probe(seed=60))) if with_reference else None

    early = LiveCurve(RoastPlan(), comparator())
    followed(early, 0.0, HOUSE.charge_s)
    early.relaid(HOUSE.charge_s, None)
    from_start = followed(early, HOUSE.charge_s, 400.0)

    late = LiveCurve(RoastPlan(), comparator())
    assert followed(late, 0.0, 400.0) == {}
    assert {m.mark: m.time_s for m in late.relaid(HOUSE.charge_s, None)} == from_start
    assert late.estimate == early.estimate
    assert late.max_deviation_c == early.max_deviation_c


def test_it_finds_turning_point_yellowing_and_drop() -> None:
    curve = LiveCurve(RoastPlan(), None)
    curve.relaid(HOUSE.charge_s, None)
    found = followed(curve, HOUSE.charge_s, 720.0)
    elapsed = {name: at - HOUSE.charge_s for name, at in found.items()}
    assert list(elapsed) == [MarkName.TURNING_POINT, MarkName.YELLOWING, MarkName.DROP]
    assert elapsed[MarkName.TURNING_POINT] == pytest.approx(HOUSE.turning_point_s, abs=3.0)
    assert elapsed[MarkName.YELLOWING] == pytest.approx(HOUSE.reaches_s(150.0), abs=2.0)
    assert elapsed[MarkName.DROP] == pytest.approx(HOUSE.drop_s, abs=2.0)


def test_yellowing_is_where_the_plan_sets_it() -> None:
    curve = LiveCurve(RoastPlan(yellowing_c=160.0), None)
    curve.relaid(HOUSE.charge_s, None)
    found = followed(curve, HOUSE.charge_s, 720.0)
    true_s = HOUSE.charge_s + HOUSE.reaches_s(160.0)
    assert found[MarkName.YELLOWING] == pytest.approx(true_s, abs=2.0)


def test_turned_and_falling_tell_where_the_beans_are() -> None:
    curve = LiveCurve(RoastPlan(), None)
    assert not curve.turned
    curve.relaid(HOUSE.charge_s, None)
    followed(curve, HOUSE.charge_s, HOUSE.charge_s + 40.0)
    assert not curve.turned
    followed(curve, HOUSE.charge_s + 40.0, HOUSE.charge_s + HOUSE.drop_s)
    assert curve.turned
    assert not curve.falling
    for time_s, bean_c in ITEMS:
        if time_s >= HOUSE.charge_s + HOUSE.drop_s and not curve.falling:
            curve.update(time_s, bean_c)
    assert curve.falling


def test_a_drop_that_is_known_ends_detection_and_the_comparison_of_the_largest_deviation() -> None:
    curve = LiveCurve(RoastPlan(), Comparator(reference_of(HOUSE, Probe(seed=60))))
    curve.relaid(HOUSE.charge_s, HOUSE.charge_s + 400.0)
    followed(curve, HOUSE.charge_s, HOUSE.charge_s + 400.0)
    largest = curve.max_deviation_c
    assert followed(curve, HOUSE.charge_s + 400.0, 720.0) == {}
    assert curve.max_deviation_c == largest
    assert largest is not None
    assert largest < 1.0


def test_the_largest_deviation_is_the_largest_of_the_rise() -> None:
    warmer = Truth(limit_c=256.0)
    curve = LiveCurve(RoastPlan(), Comparator(reference_of(HOUSE, Probe(seed=60))))
    curve.relaid(warmer.charge_s, None)
    for item in readings(warmer, Probe(seed=4)):
        if item.time_s >= warmer.charge_s and item.bean_c is not None:
            curve.update(item.time_s, item.bean_c)
    end_s = HOUSE.charge_s + HOUSE.drop_s
    true_c = warmer.bean_c(end_s) - HOUSE.bean_c(end_s)
    assert curve.max_deviation_c == pytest.approx(true_c, abs=0.8)


@pytest.mark.parametrize("drift_c_per_s", [0.0, -0.3])
def test_a_long_preheat_tells_of_the_probe_what_a_short_one_does(drift_c_per_s: float) -> None:
    """However uneven its readings come, and though they drift."""

    def rate_sd(preheat_s: float) -> float:
        truth = Truth(charge_s=preheat_s, drift_c_per_s=drift_c_per_s)
        curve = LiveCurve(RoastPlan(), None)
        for each in readings(truth, Probe(jitter_s=0.2), preheat_s + 120.0):
            if each.bean_c is not None:
                curve.update(each.time_s, each.bean_c)
        curve.relaid(preheat_s, None)
        assert curve.estimate is not None
        return curve.estimate.rate_sd

    assert rate_sd(300.0) == pytest.approx(rate_sd(40.0), rel=0.3)


@pytest.mark.parametrize("preheat_s", [40.0, 300.0])
def test_hum_that_was_known_in_the_preheat_is_not_forgotten_with_it(preheat_s: float) -> None:
    """Known or not, its swings are no spikes after charge."""
    truth = Truth(charge_s=preheat_s)
    curve = LiveCurve(RoastPlan(), None)
    curve.relaid(None, None)
    off = []
    for each in readings(truth, Probe(0.25, 0.03, 0.0), preheat_s + 500.0):
        if each.bean_c is None:
            continue
        curve.update(each.time_s, each.bean_c + 0.25 * sin(2.0 * pi * each.time_s / 5.0))
        if each.time_s == preheat_s + 10.0:
            curve.relaid(preheat_s, None)
        elapsed_s = each.time_s - preheat_s
        if elapsed_s > truth.turning_point_s + 45.0:
            assert curve.estimate is not None
            rate = curve.estimate.rate_c_per_min
            off.append(rate - 60.0 * truth.slope_c_per_s(elapsed_s))
    assert sqrt(sum(each * each for each in off) / len(off)) < 2.0


def test_hum_that_can_not_be_looked_at_for_minutes_is_no_string_of_spikes() -> None:
    """An adapter that stops for twelve seconds of every forty lets no level be told from hum."""
    truth, rate, off = Truth(charge_s=0.0, drop_s=900.0, warming_s=700.0), RateFilter(0.0), []
    for each in readings(truth, Probe(0.25, 0.03, 0.0), 880.0):
        if each.bean_c is None or (each.time_s > 300.0 and each.time_s % 40.0 < 12.0):
            continue
        estimate = rate.update(each.time_s, each.bean_c + 0.25 * sin(2.0 * pi * each.time_s / 5.0))
        if each.time_s > 150.0:
            assert estimate is not None
            off.append(estimate.rate_c_per_min - 60.0 * truth.slope_c_per_s(each.time_s))
    assert sqrt(sum(each * each for each in off) / len(off)) < 2.0


@pytest.mark.parametrize("interval_s", [0.25, 1.0])
def test_what_first_crack_does_to_the_rate_is_no_slow_wave_if_it_was_heard(
    interval_s: float,
) -> None:
    """A probe without noise, and a dip of the rate by 4 °C/min. Every truth is computed here."""
    off_c_per_min = {}
    for heard in (True, False):
        curve = LiveCurve(RoastPlan(), None)
        curve.relaid(0.0, None)
        square, count = 0.0, 0
        for k in range(round(640.0 / interval_s)):
            at_s = k * interval_s
            if heard and at_s == 507.0:
                curve.cracked(505.0)
            dip = tanh((at_s - 520.0) / 12.0)
            curve.update(at_s, 250.0 - 150.0 * exp(-at_s / 400.0) - 0.8 * dip)
            slope = 0.375 * exp(-at_s / 400.0) - 0.8 / 12.0 / cosh((at_s - 520.0) / 12.0) ** 2
            if at_s > 540.0 and curve.estimate is not None:
                square += (curve.estimate.rate_c_per_min - 60.0 * slope) ** 2
                count += 1
        off_c_per_min[heard] = sqrt(square / count)
    assert off_c_per_min[True] < 0.05
    assert off_c_per_min[True] < 0.5 * off_c_per_min[False]


def test_levels_from_before_a_plunge_are_forgotten_where_it_still_bends() -> None:
    """Even if nothing was heard where it bent sharply: its levels would be gone through again."""
    error, random = ProbeError(), Random(3)
    for k in range(600):
        seen_c = 200.0 + sin(2.0 * pi * 0.5 * k / 13.0) + random.gauss(0.0, 0.1)
        error.update(0.5 * k, seen_c)
        error.believed(0.5 * k, seen_c)
    assert error.wave is not None
    assert len(error.levels()) > 30
    error.update(347.0, 130.0)
    error.believed(347.0, 130.0, even=False)
    assert error.levels() == []
    assert not error.wave_looked_for
