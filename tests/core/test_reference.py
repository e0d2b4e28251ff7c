"""A roast to repeat, laid out by elapsed time. Every truth is computed here."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.core.readings import Reading
from roastside.core.reference import GRID_S, Reference
from tests.core.roasts import QUIET, Probe, Truth, readings, reference_of, steady

HOUSE = Truth()
REFERENCE = reference_of(HOUSE, QUIET, first_crack=540.0)
TURNED_S = HOUSE.turning_point_s + 5.0


def test_it_follows_the_truth_between_its_points() -> None:
    for elapsed_s in np.arange(30.0, 619.0, 7.3):
        bean_c, slope = REFERENCE.at(float(elapsed_s))
        assert bean_c == pytest.approx(HOUSE.bean_c(HOUSE.charge_s + elapsed_s), abs=0.1)
        assert slope == pytest.approx(HOUSE.slope_c_per_s(float(elapsed_s)), abs=0.03)


@steady
@given(st.floats(TURNED_S, 615.0))
def test_when_undoes_at_past_the_turning_point(elapsed_s: float) -> None:
    found = REFERENCE.when(REFERENCE.at(elapsed_s)[0])
    assert found == pytest.approx(elapsed_s, abs=0.05)


@steady
@given(st.floats(90.0, 200.0), st.floats(0.0, 5.0))
def test_a_hotter_place_is_never_an_earlier_one(bean_c: float, more_c: float) -> None:
    early, late = REFERENCE.when(bean_c), REFERENCE.when(bean_c + more_c)
    assert early is None or late is None or early <= late


def test_a_temperature_outside_the_rise_has_no_place() -> None:
    lowest = min(REFERENCE.bean_c)
    assert REFERENCE.when(lowest - 0.1) is None
    assert REFERENCE.when(max(REFERENCE.bean_c) + 0.1) is None


def test_where_the_curve_is_flat_a_temperature_has_no_place() -> None:
    elapsed_s = np.arange(0.0, 400.0, 0.5)
    rising = 80.0 + 0.2 * elapsed_s
    stalled = np.where(elapsed_s < 200.0, rising, 120.0 + 0.001 * (elapsed_s - 200.0))
    slope = np.gradient(stalled, elapsed_s)
    reference = Reference.from_curve("stalled", elapsed_s, stalled, slope, {})
    assert reference.when(100.0) == pytest.approx(100.0, abs=0.1)
    assert reference.when(120.1) is None


def test_it_ends_at_drop_and_goes_on_along_its_last_slope() -> None:
    assert REFERENCE.end_s == HOUSE.drop_s
    assert REFERENCE.covers(0.0)
    assert REFERENCE.covers(REFERENCE.end_s)
    assert not REFERENCE.covers(REFERENCE.end_s + 0.1)
    assert not REFERENCE.covers(-0.1)
    last_c, slope = REFERENCE.at(REFERENCE.end_s)
    assert REFERENCE.at(REFERENCE.end_s + 30.0) == pytest.approx((last_c + 30.0 * slope, slope))


def test_its_marks_and_development_are_in_elapsed_seconds() -> None:
    assert REFERENCE.marks["charge"] == 0.0
    assert REFERENCE.marks["first_crack"] == 540.0
    assert REFERENCE.development_s == pytest.approx(80.0)
    assert reference_of(HOUSE, QUIET).development_s is None


def test_its_turning_point_is_the_lowest_place_unless_it_was_marked() -> None:
    assert REFERENCE.turning_point_s == pytest.approx(HOUSE.turning_point_s, abs=1.0)
    assert reference_of(HOUSE, QUIET, turning_point=51.0).turning_point_s == 51.0


@pytest.mark.parametrize("interval_s", [0.1, 0.25, 1.0, 2.0])
def test_roasts_read_at_other_rates_make_the_same_reference(interval_s: float) -> None:
    other = reference_of(HOUSE, Probe(interval_s, seed=8))
    for elapsed_s in np.arange(60.0, 610.0, 10.0):
        bean_c, slope = other.at(float(elapsed_s))
        assert bean_c == pytest.approx(REFERENCE.at(float(elapsed_s))[0], abs=0.4)
        assert slope == pytest.approx(REFERENCE.at(float(elapsed_s))[1], abs=0.025)


def test_a_gap_is_bridged_without_a_kink() -> None:
    items = [r for r in readings(HOUSE, QUIET) if not 300.0 < r.time_s < 345.0]
    marks = {"charge": HOUSE.charge_s, "drop": HOUSE.charge_s + HOUSE.drop_s}
    reference = Reference.from_readings("gapped", items, marks)
    for elapsed_s in np.arange(255.0, 310.0, 2.5):
        assert reference.at(float(elapsed_s))[0] == pytest.approx(
            HOUSE.bean_c(HOUSE.charge_s + elapsed_s), abs=0.5
        )
    slopes = np.array(reference.slope_c_per_s)[int(250 / GRID_S) : int(320 / GRID_S)]
    assert np.max(np.abs(np.diff(slopes))) < 0.01


def test_missing_readings_and_rows_out_of_order_do_not_matter() -> None:
    items = readings(HOUSE, Probe(seed=9))
    marks = {"charge": HOUSE.charge_s, "drop": HOUSE.charge_s + HOUSE.drop_s}
    tidy = Reference.from_readings("tidy", items, marks)
    untidy = [*reversed(items), Reading(100.0, None), Reading(200.0, None, 230.0)]
    assert Reference.from_readings("untidy", untidy, marks).bean_c == tidy.bean_c


def test_a_roast_without_a_charge_is_refused() -> None:
    with pytest.raises(UsageError, match="no charge mark"):
        Reference.from_readings("house", readings(HOUSE), {"drop": 660.0})


@pytest.mark.parametrize(
    "marks",
    [
        {"charge": 40.0, "drop": 95.0},
        {"charge": 40.0, "drop": 20.0},
        {"charge": 9000.0},
    ],
)
def test_a_roast_of_less_than_a_minute_is_refused(marks: dict[str, float]) -> None:
    with pytest.raises(UsageError, match="less than a minute"):
        Reference.from_readings("house", readings(HOUSE), marks)


def test_a_roast_that_only_cools_is_refused() -> None:
    cooling = [Reading(float(k), 200.0 - 0.3 * k) for k in range(300)]
    with pytest.raises(UsageError, match="never rises"):
        Reference.from_readings("cooling", cooling, {"charge": 0.0})


def test_the_fall_after_a_drop_nobody_marked_is_not_taken_for_the_turning_point() -> None:
    whole = readings(HOUSE, Probe(seed=10), until_s=900.0)
    reference = Reference.from_readings("unmarked drop", whole, {"charge": HOUSE.charge_s})
    assert reference.turning_point_s == pytest.approx(HOUSE.turning_point_s, abs=2.0)
    assert reference.when(150.0) == pytest.approx(HOUSE.reaches_s(150.0), abs=1.0)


def test_its_arrays_are_the_same_curve() -> None:
    elapsed_s, bean_c, rate = REFERENCE.arrays
    assert bean_c.tolist() == REFERENCE.bean_c
    assert elapsed_s[-1] == REFERENCE.end_s
    assert rate[600] == pytest.approx(60.0 * REFERENCE.slope_c_per_s[600])


def test_its_corridor_is_as_wide_as_was_given_and_the_usual_one_without() -> None:
    elapsed_s, bean_c, rate = REFERENCE.arrays
    wide_c = 1.0 + elapsed_s / 100.0
    reference = Reference.from_curve("wide", elapsed_s, bean_c, rate / 60.0, {}, wide_c)
    assert reference.tolerance_at(200.25) == pytest.approx(3.0025)
    assert reference.tolerance_at(-30.0) == 1.0
    assert reference.tolerance_at(9000.0) == pytest.approx(1.0 + HOUSE.drop_s / 100.0)
    assert REFERENCE.tolerance_at(200.0) is None


GAP_S = (240.0, 360.0)


def with_gap(probe: Probe) -> Reference:
    """The house roast without the readings of two minutes."""
    seen = [
        r for r in readings(HOUSE, probe) if not GAP_S[0] < r.time_s - HOUSE.charge_s < GAP_S[1]
    ]
    charge_s = HOUSE.charge_s
    return Reference.from_readings(
        "gap", seen, {"charge": charge_s, "drop": charge_s + HOUSE.drop_s}
    )


def test_where_readings_were_missing_a_curve_is_doubted_by_as_much_as_it_is_off() -> None:
    found = [with_gap(Probe(noise_sd_c=0.3, seed=seed)) for seed in range(12)]
    off = np.array([r.at(300.0)[0] - HOUSE.bean_c(HOUSE.charge_s + 300.0) for r in found])
    doubt = np.array([reference.doubt_at(300.0) for reference in found])
    elsewhere = np.array([reference.doubt_at(450.0) for reference in found])
    assert np.all(doubt > 2.0 * elsewhere)
    assert np.all(np.abs(off) < 3.0 * doubt)
    assert np.all(elsewhere < 0.2)


def test_a_curve_kept_by_hand_every_half_minute_is_not_doubted() -> None:
    seen = [r for r in readings(HOUSE, Probe(interval_s=30.0)) if r.time_s >= HOUSE.charge_s]
    kept = Reference.from_readings("kept by hand", seen, {"charge": seen[0].time_s})
    assert not any(kept.guessed(float(at_s)) for at_s in range(600))
    assert kept.allowing_for_doubt(2.0) is kept


def test_before_its_first_reading_a_curve_is_a_guess() -> None:
    seen = [r for r in readings(HOUSE, Probe()) if r.time_s >= HOUSE.charge_s + 100.0]
    late = Reference.from_readings("late", seen, {"charge": HOUSE.charge_s})
    assert late.guessed(90.0) and not late.guessed(110.0)
    assert (late.allowing_for_doubt(2.0).tolerance_at(90.0) or 0.0) > 10.0


def test_where_a_curve_is_a_guess_is_told() -> None:
    elapsed_s, bean_c, rate = REFERENCE.arrays
    doubt_c = np.zeros(len(elapsed_s))
    doubt_c[400:501] = 2.0
    doubt_c[-3:] = 2.0
    doubt_c[:20] = 20.0
    twice = Reference.from_curve(
        "twice", elapsed_s, bean_c, rate / 60.0, REFERENCE.marks, doubt_c=doubt_c
    )
    # Before the turning point the curve is no ground for anything.
    assert twice.guesses == [(200.0, 250.0), (twice.end_s - 1.0, twice.end_s)]
    assert REFERENCE.guesses == []


def doubted(doubt_c: float, corridor: bool = False) -> Reference:
    """The reference as if it were hardly known about 300 s."""
    elapsed_s, bean_c, rate = REFERENCE.arrays
    hump = 0.05 + doubt_c * np.exp(-(((elapsed_s - 300.0) / 30.0) ** 2))
    own = np.full(len(elapsed_s), 4.0) if corridor else None
    return Reference.from_curve("doubted", elapsed_s, bean_c, rate / 60.0, {}, own, hump)


@pytest.mark.parametrize(("own", "usual_c"), [(True, 4.0), (False, 2.0)])
def test_a_corridor_is_wider_where_the_curve_is_hardly_known(own: bool, usual_c: float) -> None:
    allowing = doubted(1.95, own).allowing_for_doubt(2.0)
    assert allowing.tolerance_at(300.0) == pytest.approx(np.hypot(usual_c, 2.0 * 2.0))
    assert allowing.tolerance_at(500.0) == pytest.approx(usual_c, rel=0.01)


def test_a_curve_well_known_throughout_stays_as_it_is() -> None:
    known = doubted(0.3)
    assert known.allowing_for_doubt(2.0) is known
    assert REFERENCE.allowing_for_doubt(2.0) is REFERENCE
