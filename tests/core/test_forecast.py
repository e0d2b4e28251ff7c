"""When a temperature will be reached. Every truth is computed here."""

from __future__ import annotations

from math import exp, log

import pytest

from roastside.core.compare import Comparator, LaidReference
from roastside.core.forecast import crossing, with_spread
from roastside.core.rate import RateFilter
from roastside.core.readings import Reading
from roastside.core.surely import FOUR_IN_FIVE
from tests.core.roasts import QUIET, Probe, Truth, readings, reference_of

HOUSE = Truth()


def followed(items: list[Reading], until_s: float, plunge_at_s: float = 0.0) -> RateFilter:
    rate_filter = RateFilter(plunge_at_s)
    for item in items:
        if plunge_at_s <= item.time_s <= until_s and item.bean_c is not None:
            rate_filter.update(item.time_s, item.bean_c)
    return rate_filter


def line(rate: float) -> list[Reading]:
    return [Reading(float(k), 150.0 + rate / 60.0 * k) for k in range(200)]


@pytest.mark.parametrize("rate", [3.0, 9.0, 18.0])
def test_on_a_curve_that_nears_air_of_260_degrees_it_is_exact(rate: float) -> None:
    """Newton's law of cooling: the gap of 110 °C shrinks by exp(-k t)."""
    k = rate / 60.0 / 110.0
    items = [Reading(float(at_s), 260.0 - 110.0 * exp(-k * at_s)) for at_s in range(200)]
    found = crossing(100.0, 190.0, 0.0, followed(items, 100.0).path())
    assert found is not None
    assert found.at_s == pytest.approx(log(110.0 / 70.0) / k, rel=0.01)
    assert found.low_s < found.at_s < found.high_s


def test_beans_that_climb_straight_on_are_expected_to_slow_down() -> None:
    found = crossing(100.0, 190.0, 0.0, followed(line(18.0), 100.0).path())
    assert found is not None
    assert 40.0 / 0.3 < found.at_s < 1.1 * 40.0 / 0.3


@pytest.mark.parametrize("rate", [0.0, -6.0])
def test_a_curve_that_does_not_rise_has_no_forecast(rate: float) -> None:
    assert crossing(100.0, 190.0, 1.5, followed(line(rate), 100.0).path()) is None


def test_what_is_more_than_a_quarter_of_an_hour_away_is_not_told() -> None:
    assert crossing(100.0, 190.0, 1.5, followed(line(1.0), 100.0).path()) is None


def test_a_temperature_already_reached_is_expected_now() -> None:
    found = crossing(100.0, 160.0, 1.5, followed(line(9.0), 100.0).path())
    assert found is not None
    assert found.at_s == found.low_s == 100.0
    assert found.high_s > 100.0


def test_the_further_away_the_wider_the_interval() -> None:
    rate_filter = followed(readings(HOUSE, Probe(seed=4)), 400.0, HOUSE.charge_s)
    widths = []
    for target_c in (170.0, 180.0, 190.0):
        found = crossing(360.0, target_c, 0.5, rate_filter.path())
        assert found is not None
        widths.append(found.high_s - found.low_s)
    assert widths == sorted(widths)


def test_with_a_reference_the_bend_of_the_curve_is_foreseen() -> None:
    reference = reference_of(HOUSE, QUIET)
    departure = RateFilter(HOUSE.charge_s, LaidReference(Comparator(reference), HOUSE.charge_s))
    for item in readings(HOUSE, Probe(seed=5)):
        if HOUSE.charge_s <= item.time_s <= 340.0 and item.bean_c is not None:
            departure.update(item.time_s, item.bean_c)
    plain = followed(readings(HOUSE, Probe(seed=5)), 340.0, HOUSE.charge_s)
    true_s = HOUSE.reaches_s(196.0)
    with_it = crossing(300.0, 196.0, 1.5, departure.path())
    without = crossing(300.0, 196.0, 1.5, plain.path())
    assert with_it is not None
    assert without is not None
    assert with_it.at_s == pytest.approx(true_s, abs=5.0)
    assert abs(with_it.at_s - true_s) < 0.2 * abs(without.at_s - true_s)


def test_an_interval_is_the_central_eighty_percent_and_never_in_the_past() -> None:
    found = with_spread(500.0, 10.0, 400.0)
    # 1.2816 deviations hold the central 80 % of a normal distribution: the 90th percentile,
    # NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.1 (from memory).
    assert (found.low_s, found.high_s) == pytest.approx((487.184, 512.816))
    assert FOUR_IN_FIVE == 1.2816
    late = with_spread(390.0, 10.0, 400.0)
    assert (late.low_s, late.at_s) == (400.0, 400.0)
