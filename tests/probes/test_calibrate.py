"""A probe's correction: from one or two baths, there and back, and when it is too large."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.probes.calibrate import (
    Calibration,
    Point,
    beyond_tolerance,
    calibration_from,
    calibration_from_words,
    thermocouple_kind,
)

DAY = date(2026, 3, 2)
ICE = Point(0.6, 0.0)
BOILING = Point(97.1, 98.3)

readings = st.floats(min_value=-15.0, max_value=15.0)
gains = st.floats(min_value=0.75, max_value=1.4)
offsets = st.floats(min_value=-20.0, max_value=20.0)


@given(readings, readings)
def test_two_points_are_both_set_right(at_ice_c: float, at_boiling_c: float) -> None:
    points = [Point(at_ice_c, 0.0), Point(98.3 + at_boiling_c, 98.3)]
    calibration = calibration_from(points, DAY, "Ines")
    for point in points:
        assert calibration.corrected(point.reading_c) == pytest.approx(point.truth_c, abs=0.001)
    assert calibration.points == tuple(points)


@given(readings)
def test_one_point_moves_every_reading_by_the_same(off_c: float) -> None:
    calibration = calibration_from([Point(98.3 + off_c, 98.3)], DAY, "Ines")
    assert (calibration.gain, calibration.kind) == (1.0, "offset")
    assert calibration.corrected(200.0) == pytest.approx(200.0 - off_c, abs=0.0006)


def test_a_line_through_two_points_worked_by_hand() -> None:
    calibration = calibration_from([ICE, BOILING], DAY, "Ines")
    # 98.3 / 96.5 = 1.018653; 0 − 1.018653 × 0.6 = −0.611
    assert (calibration.gain, calibration.offset_c) == (1.018653, -0.611)
    assert calibration.kind == "gain and offset"
    assert str(calibration) == "gain=1.018653 offset_c=-0.611 date=2026-03-02 person=Ines"


@given(gains, offsets, st.floats(min_value=-50.0, max_value=500.0))
def test_what_was_corrected_can_be_undone(gain: float, offset_c: float, raw_c: float) -> None:
    calibration = Calibration(gain, offset_c, DAY, "Ines")
    assert calibration.raw(calibration.corrected(raw_c)) == pytest.approx(raw_c, abs=1e-9)


@given(gains, offsets, st.sampled_from(["", "Ines", "Ines de la Cruz", "person=x gain=3", "Änne"]))
def test_the_words_of_a_roast_file_give_the_calibration_back(
    gain: float, offset_c: float, person: str
) -> None:
    calibration = Calibration(gain, offset_c, DAY, person)
    assert calibration_from_words(str(calibration)) == calibration


@pytest.mark.parametrize(
    "words",
    [
        "",
        "person=Ines",
        "gain=1.0 offset_c=0.5 date=2026-03-02",
        "gain=1.0 offset_c=0.5 person=Ines",
        "gain=one offset_c=0.5 date=2026-03-02 person=Ines",
        "gain=1.0 offset_c=0.5 date=yesterday person=Ines",
        "gain 1.0 offset_c=0.5 date=2026-03-02 person=Ines",
    ],
)
def test_words_that_tell_no_correction_are_refused(words: str) -> None:
    with pytest.raises(ValueError):
        calibration_from_words(words)


@pytest.mark.parametrize(
    ("gain", "offset_c"), [(0.0, 1.0), (-1.0, 0.0), (math.nan, 0.0), (1.0, math.inf)]
)
def test_a_correction_that_could_not_be_undone_cannot_be_made(gain: float, offset_c: float) -> None:
    with pytest.raises(UsageError, match="calibrate the probe again"):
        Calibration(gain, offset_c, DAY, "Ines")


@pytest.mark.parametrize("points", [[], [ICE, ICE], [ICE, BOILING, ICE]])
def test_no_line_is_drawn_through_too_few_or_too_many_points(points: list[Point]) -> None:
    with pytest.raises(ValueError, match="one or two different points"):
        calibration_from(points, DAY, "Ines")


def test_a_name_is_kept_as_one_clean_line() -> None:
    assert calibration_from([ICE], DAY, "Ines\x1b[31m\nK").person == "Ines K"


# IEC 60584-1:2013, class 2: K, J, E, N 2.5 °C, T 1.0 °C, below 133 °C or 333 °C; 0.75 % above.
@pytest.mark.parametrize(
    ("error_c", "kind", "flagged"),
    [
        (2.5, "K", False),
        (-2.4, "J", False),
        (2.6, "K", True),
        (-2.6, "E", True),
        (1.1, "T", True),
        (0.9, "T", False),
        (2.4, None, False),
        (2.6, None, True),
    ],
)
@pytest.mark.parametrize("truth_c", [0.0, 96.65])
def test_a_probe_beyond_its_standard_is_flagged(
    error_c: float, kind: str | None, flagged: bool, truth_c: float
) -> None:
    words = beyond_tolerance(Point(truth_c + error_c, truth_c), thermocouple_kind(kind or ""))
    assert bool(words) == flagged
    if flagged:
        assert f"{abs(error_c):.1f} °C too {'high' if error_c > 0.0 else 'low'}" in words
        assert f"type {kind}" in words if kind else "unknown type (taken as K)" in words


def test_a_type_is_taken_in_either_case_and_none_is_no_mistake() -> None:
    assert [thermocouple_kind(text) for text in ("k", " T ", "")] == ["K", "T", None]
    with pytest.raises(UsageError, match="'Q' is no type"):
        thermocouple_kind("Q")
