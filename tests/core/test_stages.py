"""Which marks stand, and the stages between them (contract 3)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.readings import ONCE_ONLY, Mark, MarkName, MarkSource, Stage
from roastside.core.stages import Marks, developed_s, ended_s, stage_at, stage_spans
from tests.core.roasts import steady

AUTO, HAND, FILE = MarkSource.AUTO, MarkSource.HAND, MarkSource.FILE


def mark(time_s: float, name: str, source: MarkSource = HAND) -> Mark:
    return Mark(time_s, name, source=source)


def test_a_later_mark_replaces_the_earlier_even_if_it_tells_an_earlier_time() -> None:
    marks = Marks()
    assert marks.take(mark(398.0, "first_crack"))
    assert marks.take(mark(395.5, "first_crack"))
    assert marks.time_s(MarkName.FIRST_CRACK) == 395.5


def test_the_same_mark_at_the_same_moment_changes_nothing() -> None:
    marks = Marks()
    marks.take(mark(398.0, "first_crack"))
    assert not marks.take(mark(398.0, "first_crack"))


def test_undo_withdraws_and_withdrawing_again_is_idle() -> None:
    marks = Marks()
    marks.take(mark(430.0, "drop"))
    assert marks.take(mark(431.0, "undo drop"))
    assert marks.time_s(MarkName.DROP) is None
    assert not marks.take(mark(432.0, "undo drop"))


def test_a_person_can_mark_again_what_was_withdrawn() -> None:
    marks = Marks()
    marks.take(mark(430.0, "drop"))
    marks.take(mark(431.0, "undo drop"))
    assert marks.take(mark(445.0, "drop"))
    assert marks.time_s(MarkName.DROP) == 445.0


@pytest.mark.parametrize("source", [HAND, FILE])
def test_detection_never_replaces_what_a_person_or_a_file_said(source: MarkSource) -> None:
    marks = Marks()
    marks.take(mark(41.0, "charge", source))
    assert not marks.take(mark(43.0, "charge", AUTO))
    assert marks.time_s(MarkName.CHARGE) == 41.0


def test_a_person_replaces_what_detection_found_and_detection_corrects_itself() -> None:
    marks = Marks()
    marks.take(mark(41.0, "charge", AUTO))
    assert marks.take(mark(42.0, "charge", AUTO))
    assert marks.take(mark(43.0, "charge", HAND))
    assert marks.time_s(MarkName.CHARGE) == 43.0


def test_a_person_who_agrees_to_the_letter_settles_the_mark() -> None:
    marks = Marks()
    marks.take(mark(41.0, "charge", AUTO))
    marks.take(mark(41.0, "charge", HAND))
    assert not marks.take(mark(44.0, "charge", AUTO))


def test_what_was_withdrawn_is_not_detected_again() -> None:
    marks = Marks()
    assert marks.wanted(MarkName.DROP)
    marks.take(mark(430.0, "drop", AUTO))
    assert not marks.wanted(MarkName.DROP)
    marks.take(mark(431.0, "undo drop"))
    assert not marks.wanted(MarkName.DROP)
    assert not marks.take(mark(440.0, "drop", AUTO))


def test_only_detected_marks_are_forgotten() -> None:
    marks = Marks()
    marks.take(mark(90.0, "turning_point", AUTO))
    marks.take(mark(300.0, "yellowing", HAND))
    marks.forget_detected(MarkName.TURNING_POINT, MarkName.YELLOWING, MarkName.DROP)
    assert marks.time_s(MarkName.TURNING_POINT) is None
    assert marks.time_s(MarkName.YELLOWING) == 300.0
    assert marks.wanted(MarkName.TURNING_POINT)


@pytest.mark.parametrize(
    "name", ["control", "comment", "tasted", "undo tasted", "undo control", ""]
)
def test_remarks_and_unknown_words_change_no_mark(name: str) -> None:
    marks = Marks()
    marks.take(mark(41.0, "charge"))
    assert not marks.take(mark(50.0, name))
    assert marks.all_elapsed_s() == {"charge": 0.0}


def test_elapsed_times_count_from_charge_in_the_order_of_a_roast() -> None:
    marks = Marks()
    marks.take(mark(660.0, "drop"))
    marks.take(mark(540.0, "first_crack"))
    assert marks.all_elapsed_s() == {}
    assert marks.elapsed_s(MarkName.DROP) is None
    marks.take(mark(40.0, "charge"))
    assert list(marks.all_elapsed_s().items()) == [
        ("charge", 0.0),
        ("first_crack", 500.0),
        ("drop", 620.0),
    ]


WHOLE = {"charge": 0.0, "yellowing": 280.0, "first_crack": 500.0, "drop": 620.0}


@pytest.mark.parametrize(
    ("elapsed_s", "stage"),
    [
        (None, Stage.PREHEAT),
        (-0.5, Stage.PREHEAT),
        (0.0, Stage.DRYING),
        (279.9, Stage.DRYING),
        (280.0, Stage.BROWNING),
        (499.9, Stage.BROWNING),
        (500.0, Stage.DEVELOPMENT),
        (619.9, Stage.DEVELOPMENT),
        (620.0, Stage.COOLING),
        (9000.0, Stage.COOLING),
    ],
)
def test_a_stage_begins_at_its_mark(elapsed_s: float | None, stage: Stage) -> None:
    assert stage_at(elapsed_s, WHOLE) is stage


def test_a_stage_nobody_marked_is_part_of_the_one_before() -> None:
    assert stage_at(400.0, {"charge": 0.0}) is Stage.DRYING
    assert stage_at(550.0, {"charge": 0.0, "first_crack": 500.0}) is Stage.DEVELOPMENT


def test_the_stages_of_a_whole_roast() -> None:
    spans = stage_spans(WHOLE, 620.0)
    assert {name: span.seconds for name, span in spans.items()} == {
        "drying": 280.0,
        "browning": 220.0,
        "development": 120.0,
    }
    assert spans["development"].share == pytest.approx(120.0 / 620.0)  # computed here


def test_a_roast_still_in_drying_has_one_stage() -> None:
    assert list(stage_spans({"charge": 0.0}, 100.0)) == ["drying"]


def test_marks_past_the_end_make_no_stage() -> None:
    assert list(stage_spans(WHOLE, 300.0)) == ["drying", "browning"]
    assert stage_spans(WHOLE, 0.0) == {}
    assert stage_spans(WHOLE, -5.0) == {}


@steady
@given(
    st.dictionaries(st.sampled_from(ONCE_ONLY), st.floats(-1000.0, 2000.0)),
    st.floats(-100.0, 2000.0),
)
def test_in_whatever_order_marks_stand_the_shares_add_up_to_one(
    marks: dict[str, float], end_s: float
) -> None:
    spans = stage_spans(marks, end_s)
    assert stage_at(end_s, marks) in Stage
    if not spans:
        assert end_s <= 0.0
        return
    assert sum(span.share for span in spans.values()) == pytest.approx(1.0)
    assert sum(span.seconds for span in spans.values()) == pytest.approx(end_s)
    assert all(span.seconds >= 0.0 for span in spans.values())
    first_crack_s = marks.get("first_crack", -1.0)
    if 0.0 <= first_crack_s < end_s:
        assert spans["development"].seconds == pytest.approx(end_s - first_crack_s)


def test_a_roast_ends_with_drop_or_else_with_its_last_reading() -> None:
    assert ended_s({"drop": 700.0}, 760.0) == 700.0
    assert ended_s({}, 760.0) == 760.0
    assert ended_s({}, -3.0) is None, "charge lies ahead of all readings"
    assert ended_s({}, None) is None


def test_development_runs_from_first_crack_to_the_end() -> None:
    assert developed_s({"first_crack": 600.0}, 700.0) == 100.0
    assert developed_s({"first_crack": 720.0}, 700.0) is None
    assert developed_s({}, 700.0) is None


def test_a_moment_counts_from_charge() -> None:
    marks = Marks()
    assert marks.since_charge_s(50.0) is None
    marks.take(mark(40.0, "charge"))
    assert marks.since_charge_s(50.0) == 10.0
