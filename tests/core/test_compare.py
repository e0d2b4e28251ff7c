"""Live against reference. Every truth is computed here."""

from __future__ import annotations

import pytest

from roastside.core.compare import Comparator
from roastside.core.plan import Align
from tests.core.roasts import QUIET, Truth, reference_of

HOUSE = Truth()
REFERENCE = reference_of(HOUSE, QUIET)


def seen_c(elapsed_s: float) -> float:
    return HOUSE.bean_c(HOUSE.charge_s + elapsed_s)


@pytest.mark.parametrize("shift_s", [-12.0, 0.0, 12.0])
@pytest.mark.parametrize("elapsed_s", [150.0, 300.0, 500.0])
def test_a_roast_shifted_along_the_reference_is_that_many_seconds_ahead(
    shift_s: float, elapsed_s: float
) -> None:
    live_c = seen_c(elapsed_s + shift_s)
    compared = Comparator(REFERENCE).compare(elapsed_s, live_c, rising=True)
    assert compared.ahead_s == pytest.approx(shift_s, abs=0.2)
    assert compared.deviation_c == pytest.approx(live_c - seen_c(elapsed_s), abs=0.05)


def test_deviation_is_live_minus_reference() -> None:
    comparator = Comparator(REFERENCE)
    hotter = comparator.compare(300.0, seen_c(300.0) + 3.0, rising=True)
    cooler = comparator.compare(300.0, seen_c(300.0) - 3.0, rising=True)
    assert hotter.deviation_c == pytest.approx(3.0, abs=0.05)
    assert cooler.deviation_c == pytest.approx(-3.0, abs=0.05)
    assert hotter.ahead_s is not None
    assert hotter.ahead_s > 0.0
    assert cooler.ahead_s is not None
    assert cooler.ahead_s < 0.0


def test_the_references_own_values_are_told() -> None:
    compared = Comparator(REFERENCE).compare(300.0, None, rising=True)
    assert compared.reference_bean_c == pytest.approx(seen_c(300.0), abs=0.05)
    assert compared.reference_rate_c_per_min == pytest.approx(
        60.0 * HOUSE.slope_c_per_s(300.0), abs=0.2
    )
    assert compared.deviation_c is None
    assert compared.ahead_s is None


def test_before_the_turning_point_degrees_are_told_but_not_seconds() -> None:
    compared = Comparator(REFERENCE).compare(20.0, 120.0, rising=False)
    assert compared.deviation_c is not None
    assert compared.ahead_s is None


def test_past_the_references_end_seconds_are_told_while_they_can_be_but_not_degrees() -> None:
    past_s = HOUSE.drop_s + 15.0
    compared = Comparator(REFERENCE).compare(past_s, seen_c(600.0), rising=True)
    assert compared.reference_bean_c is None
    assert compared.deviation_c is None
    assert compared.ahead_s == pytest.approx(600.0 - past_s, abs=0.2)
    too_hot = Comparator(REFERENCE).compare(past_s, seen_c(620.0) + 5.0, rising=True)
    assert too_hot.ahead_s is None


def test_aligned_at_the_turning_point_a_late_one_shifts_the_reference() -> None:
    comparator = Comparator(REFERENCE, Align.TURNING_POINT)
    comparator.align_turning_point(REFERENCE.turning_point_s + 9.0)
    compared = comparator.compare(309.0, seen_c(300.0), rising=True)
    assert compared.deviation_c == pytest.approx(0.0, abs=0.05)
    assert compared.ahead_s == pytest.approx(0.0, abs=0.2)
    comparator.align_turning_point(None)
    assert comparator.shift_s == 0.0


def test_aligned_at_charge_the_turning_point_changes_nothing() -> None:
    comparator = Comparator(REFERENCE, Align.CHARGE)
    comparator.align_turning_point(90.0)
    assert comparator.shift_s == 0.0
