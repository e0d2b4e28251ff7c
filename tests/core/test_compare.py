"""Live against reference. Every truth is computed here."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from roastside.core.compare import Comparator
from roastside.core.events import Alert, Family, Sample
from roastside.core.plan import Align
from roastside.core.readings import Reading
from roastside.core.reference import Reference
from roastside.core.session import Session
from tests.core.roasts import QUIET, Probe, Truth, readings, reference_of, told

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


def test_the_uncertainty_of_degrees_becomes_seconds_by_the_slope() -> None:
    compared = Comparator(REFERENCE).compare(300.0, seen_c(300.0), rising=True, bean_sd_c=0.4)
    assert compared.deviation_sd_c == pytest.approx(0.4, abs=0.001)
    assert compared.ahead_sd_s == pytest.approx(0.4 / HOUSE.slope_c_per_s(300.0), rel=0.05)


def test_what_is_not_known_of_the_reference_is_not_known_of_the_departure() -> None:
    unsure = replace(REFERENCE, doubt_c=[0.3] * len(REFERENCE.bean_c))
    compared = Comparator(unsure).compare(300.0, seen_c(300.0), rising=True, bean_sd_c=0.4)
    assert compared.deviation_sd_c == pytest.approx(0.5)
    assert compared.ahead_sd_s == pytest.approx(0.5 / HOUSE.slope_c_per_s(300.0), rel=0.05)


def test_past_its_end_a_references_last_rate_is_the_usual_one() -> None:
    compared = Comparator(REFERENCE).compare(HOUSE.drop_s + 20.0, 230.0, rising=True)
    assert compared.reference_rate_c_per_min is None
    last = 60.0 * REFERENCE.slope_c_per_s[-1]
    assert compared.usual_rate_c_per_min == pytest.approx(last)


@pytest.mark.parametrize(("doubt_c", "said"), [(0.05, True), (2.0, False)])
def test_off_a_guess_in_a_gap_of_the_reference_is_no_fault_of_the_roast(
    doubt_c: float, said: bool
) -> None:
    elapsed_s, bean_c, rate = REFERENCE.arrays
    hump = np.exp(-(((elapsed_s - 300.0) / 60.0) ** 2))
    hump_slope = -2.0 * (elapsed_s - 300.0) / 60.0**2 * hump
    guessed = Reference.from_curve(
        "guessed",
        elapsed_s,
        bean_c + 3.0 * hump,
        rate / 60.0 + 3.0 * hump_slope,
        REFERENCE.marks,
        doubt_c=0.05 + doubt_c * hump,
    )
    events = told(Session(None, guessed), readings(HOUSE, Probe(seed=5)))
    told_of = [event for event in events if isinstance(event, Alert)]
    assert any(event.family is Family.DEVIATION for event in told_of) is said
    assert said or not any(event.alert == "behind_reference" for event in told_of)


@pytest.mark.parametrize(("reference_s", "live_s"), [(2.0, 0.1), (0.1, 2.0), (1.0, 0.25)])
def test_another_sampling_rate_of_the_reference_makes_no_deviation(
    reference_s: float, live_s: float
) -> None:
    reference = reference_of(HOUSE, Probe(reference_s, noise_sd_c=0.2, step_c=0.25, seed=5))
    live = readings(HOUSE, Probe(live_s, noise_sd_c=0.2, step_c=0.25, seed=6))
    later = [s for s in samples_of(reference, live) if 150.0 < (s.elapsed_s or 0.0) < 560.0]
    assert max(abs(s.deviation_c or 9.0) for s in later) < 0.6
    assert max(abs(s.ahead_s or 99.0) for s in later) < 5.0


def test_another_charge_temperature_is_forgotten_soon_after_the_turning_point() -> None:
    hotter = replace(HOUSE, preheat_c=HOUSE.preheat_c + 12.0)
    later = [
        s
        for s in samples_of(REFERENCE, readings(hotter, Probe(seed=7)))
        if 120.0 < (s.elapsed_s or 0.0) < 560.0
    ]
    assert max(abs(s.deviation_c or 9.0) for s in later) < 0.5


def test_a_reference_with_a_gap_is_held_against_as_any_other() -> None:
    gapped = [
        r for r in readings(HOUSE, Probe(seed=8)) if not 300.0 < r.time_s - HOUSE.charge_s < 320.0
    ]
    marks = {"charge": HOUSE.charge_s, "drop": HOUSE.charge_s + HOUSE.drop_s}
    reference = Reference.from_readings("gapped", gapped, marks)
    across = [
        s
        for s in samples_of(reference, readings(HOUSE, Probe(seed=9)))
        if 290.0 < (s.elapsed_s or 0.0) < 330.0
    ]
    assert max(abs(s.deviation_c or 9.0) for s in across) < 0.5


def samples_of(reference: Reference, items: list[Reading]) -> list[Sample]:
    return [e for e in told(Session(None, reference), items) if isinstance(e, Sample)]
