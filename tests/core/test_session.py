"""One roast followed as it comes. Every truth is computed here."""

from __future__ import annotations

from dataclasses import replace
from math import inf, nan

import pytest

from roastside.core.events import Alert, Marked
from roastside.core.plan import Align, RoastPlan
from roastside.core.readings import (
    Item,
    Mark,
    MarkSource,
    Reading,
    Stage,
    StoreFault,
    Tick,
)
from roastside.core.session import Session
from tests.core.house_roast import HOUSE, ROAST, after, alerts, samples, until
from tests.core.roasts import (
    Probe,
    Truth,
    by_hand,
    marked,
    readings,
    reference_of,
    told,
)

CHARGE_S, DROP_S = HOUSE.charge_s, HOUSE.charge_s + HOUSE.drop_s
CRACK_S = HOUSE.reaches_s(196.0)
REFERENCE = reference_of(HOUSE, Probe(seed=70), first_crack=CRACK_S)


def with_marks(*marks: Mark) -> list[Item]:
    """The house roast with marks at their own times."""
    return sorted([*ROAST, *marks], key=lambda item: item.time_s)


def test_each_accepted_reading_gives_one_sample_in_order() -> None:
    found = samples(told(Session(), ROAST))
    assert [s.time_s for s in found] == [r.time_s for r in ROAST]
    assert [s.bean_c for s in found] == [r.bean_c for r in ROAST]


def test_a_whole_roast_is_followed_without_a_key_pressed() -> None:
    session = Session(None, REFERENCE)
    events = told(session, ROAST)
    assert [e.mark for e in events if isinstance(e, Marked)] == [
        "charge",
        "turning_point",
        "yellowing",
        "drop",
    ]
    assert {e.source for e in events if isinstance(e, Marked)} == {MarkSource.AUTO}
    stages = list(dict.fromkeys(s.stage for s in samples(events)))
    assert stages == [Stage.PREHEAT, Stage.DRYING, Stage.BROWNING, Stage.COOLING]
    assert session.finish().marks == pytest.approx(
        {
            "charge": 0.0,
            "turning_point": HOUSE.turning_point_s,
            "yellowing": HOUSE.reaches_s(150.0),
            "drop": HOUSE.drop_s,
        },
        abs=3.0,
    )


def test_a_good_repeat_says_no_more_than_that_first_crack_is_near() -> None:
    events = told(Session(None, REFERENCE), with_marks(by_hand(CHARGE_S + CRACK_S, "first_crack")))
    raised = [alert for _, alert, state in alerts(events) if state == "raised"]
    assert raised == [
        "ready_to_charge",
        "first_crack_soon",
        "development_target_soon",
        "development_target",
    ]


def test_the_summary_adds_up() -> None:
    session = Session(None, REFERENCE)
    events = told(session, with_marks(by_hand(CHARGE_S + 540.0, "first_crack")))
    summary = session.finish()
    charge_s = session.marks.time_s("charge")  # type: ignore[arg-type]
    assert charge_s is not None
    assert summary.duration_s == summary.marks["drop"]
    assert summary.development_s == pytest.approx(
        summary.marks["drop"] - (CHARGE_S + 540.0 - charge_s)
    )
    assert summary.development_ratio == pytest.approx(
        summary.development_s / summary.marks["drop"]  # type: ignore[operator]
    )
    assert sum(span.seconds for span in summary.stages.values()) == pytest.approx(
        summary.duration_s
    )
    assert sum(span.share for span in summary.stages.values()) == pytest.approx(1.0)
    assert summary.stages["development"].seconds == pytest.approx(summary.development_s)
    assert summary.readings == len(ROAST) == len(samples(events))
    assert summary.missing == 0
    raised = [alert for _, alert, state in alerts(events) if state == "raised"]
    assert summary.alerts == {alert: raised.count(alert) for alert in set(raised)}
    assert summary.max_deviation_c is not None
    assert summary.max_deviation_c < 2.0
    assert summary.time_s == ROAST[-1].time_s


def test_a_roast_not_yet_dropped_lasts_until_its_last_reading() -> None:
    session = Session()
    told(session, until(300.0))
    assert session.finish().duration_s == pytest.approx(260.0, abs=1.5)


def test_a_recording_without_a_charge_has_a_summary_too() -> None:
    session = Session()
    told(session, until(30.0))
    summary = session.finish()
    assert (summary.duration_s, summary.marks, summary.stages) == (None, {}, {})
    assert summary.readings == 61
    empty = Session().finish()
    assert (empty.readings, empty.missing, empty.elapsed_s) == (0, 0, None)


@pytest.mark.parametrize("wrong_s", [DROP_S + 20.0, CHARGE_S - 20.0])
def test_first_crack_outside_charge_to_drop_is_no_development(wrong_s: float) -> None:
    session = Session()
    told(session, [*ROAST, by_hand(wrong_s, "first_crack")])
    summary = session.finish()
    assert summary.development_s is None
    assert summary.development_ratio is None
    assert "development" not in summary.stages


def test_a_drop_before_the_charge_is_none_of_this_roast() -> None:
    session = Session()
    told(session, [*until(300.0), by_hand(10.0, "drop")])
    summary = session.finish()
    assert "drop" not in summary.marks
    # The last reading came 260 s after charge, which is found to within a second.
    assert summary.duration_s == pytest.approx(260.0, abs=1.0)
    assert list(summary.stages) == ["drying"]


@pytest.mark.parametrize("bean_c", [None, nan, inf, -inf, -80.0, 999.0])
def test_a_reading_without_a_bean_temperature_is_missing(bean_c: float | None) -> None:
    session = Session()
    told(session, until(100.0))
    assert samples(session.feed(Reading(100.4, bean_c, 210.0))) == []
    assert session.finish().missing == 1


def test_a_reading_out_of_order_is_missing_and_one_of_the_same_instant_is_not() -> None:
    session = Session()
    told(session, until(100.0))
    assert session.feed(Reading(99.0, 150.0)) == []
    assert samples(session.feed(Reading(100.0, ROAST[200].bean_c))) != []
    assert (session.finish().missing, session.finish().readings) == (1, 202)


def test_an_implausible_air_temperature_is_unknown_and_the_reading_counts() -> None:
    (sample,) = samples(Session().feed(Reading(0.0, 200.0, 900.0)))
    assert sample.air_c is None
    assert sample.bean_c == 200.0


def test_a_recording_that_can_not_be_stored_is_told_until_it_can() -> None:
    session = Session()
    told(session, until(100.0))
    raised = session.feed(StoreFault(100.2, "the disk is full: free some space"))
    assert alerts(raised) == [(100.2, "recording_not_stored", "raised")]
    assert isinstance(raised[0], Alert)
    assert raised[0].message == "the disk is full: free some space"
    assert alerts(session.feed(StoreFault(130.0, "")))[-1] == (
        130.0,
        "recording_not_stored",
        "cleared",
    )


def test_what_stands_can_be_acknowledged() -> None:
    session = Session()
    told(session, [*until(100.0), Tick(104.5)])
    (seen,) = session.acknowledge("probe_silent", 104.8)
    assert (seen.state, seen.time_s) == ("acknowledged", 104.8)
    assert session.acknowledge("below_reference", 104.9) == []


def test_a_mark_told_late_says_when_it_was_and_when_it_became_known() -> None:
    session = Session()
    told(session, until(600.0))
    charge_s = session.marks.time_s("charge")  # type: ignore[arg-type]
    assert charge_s is not None
    (event,) = marked(session.feed(by_hand(592.0, "first_crack")), "first_crack")
    assert (event.time_s, event.moment_s, event.at_s) == (600.0, 592.0, 592.0 - charge_s)
    assert event.elapsed_s == 600.0 - charge_s
    assert samples(session.feed(after(600.0)[0]))[0].stage is Stage.DEVELOPMENT


def test_remarks_and_controls_are_passed_on_and_unknown_words_are_not() -> None:
    session = Session()
    (control,) = session.feed(Mark(5.0, "control", "70", "heat %"))
    assert isinstance(control, Marked)
    assert (control.value, control.note, control.at_s) == ("70", "heat %", None)
    assert session.feed(Mark(6.0, "tasted")) == []
    assert session.feed(Mark(7.0, "undo tasted")) == []
    assert session.feed(Mark(8.0, "undo drop")) == []


def test_an_undone_charge_leaves_nothing_elapsed_and_is_not_found_again() -> None:
    session = Session(None, REFERENCE)
    told(session, until(200.0))
    undone, *hanging = session.feed(by_hand(200.2, "undo charge"))
    assert isinstance(undone, Marked)
    assert [m.mark for m in hanging if isinstance(m, Marked)] == ["undo turning_point"], (
        "what hung on it is withdrawn aloud"
    )
    assert (undone.mark, undone.at_s, undone.elapsed_s) == ("undo charge", None, None)
    rest = told(session, after(200.2))
    assert {(s.stage, s.elapsed_s, s.deviation_c) for s in samples(rest)} == {
        (Stage.PREHEAT, None, None)
    }
    assert session.finish().marks == {}


def test_a_moved_charge_gives_the_roast_of_one_marked_there_at_once() -> None:
    moved = Session(None, REFERENCE)
    told(moved, until(300.0))
    moved.feed(by_hand(43.0, "charge"))
    at_once = Session(None, REFERENCE)
    told(at_once, [*until(43.0), by_hand(43.0, "charge")])
    told(at_once, [r for r in until(300.0) if r.time_s > 43.0])
    assert samples(told(moved, after(300.0))) == samples(told(at_once, after(300.0)))
    assert moved.finish().marks == at_once.finish().marks
    assert moved.finish().max_deviation_c == at_once.finish().max_deviation_c


def test_a_moved_charge_moves_what_was_detected_but_not_what_a_person_said() -> None:
    session = Session()
    told(session, [*until(330.0), by_hand(331.0, "yellowing")])
    events = session.feed(by_hand(43.0, "charge"))
    assert [e.mark for e in events if isinstance(e, Marked)] == ["charge", "turning_point"]
    assert session.finish().marks["yellowing"] == 288.0


def test_a_false_drop_can_be_undone_and_the_roast_goes_on() -> None:
    session = Session(None, REFERENCE)
    told(session, [*until(400.0), by_hand(400.2, "drop")])
    assert samples(session.feed(after(400.2)[0]))[0].stage is Stage.COOLING
    session.feed(by_hand(401.0, "undo drop"))
    later = samples(told(session, [r for r in after(401.0) if r.time_s < DROP_S]))
    assert {s.stage for s in later} == {Stage.BROWNING}
    assert all(s.deviation_c is not None and abs(s.deviation_c) < 1.0 for s in later)


def test_what_a_file_says_is_never_moved_by_detection() -> None:
    given = Mark(40.5, "charge", source=MarkSource.FILE)
    events = told(Session(), with_marks(given))
    assert [(m.at_s, m.source) for m in marked(events, "charge")] == [(0.0, MarkSource.FILE)]


@pytest.mark.parametrize("wild", [1, 2, 3])
@pytest.mark.parametrize("at_s", [25.0, 88.0, 400.0])
def test_a_run_of_zeros_from_the_line_makes_no_marks(wild: int, at_s: float) -> None:
    items = list(ROAST)
    for k in range(int(at_s * 2), int(at_s * 2) + wild):
        items[k] = Reading(items[k].time_s, 0.0)
    session, clean = Session(), Session()
    told(session, items)
    told(clean, ROAST)
    assert session.finish().marks == pytest.approx(clean.finish().marks, abs=1.0)


@pytest.mark.parametrize("seed", [2, 23, 49])
def test_aligned_at_the_turning_point_it_is_found_once_and_the_roast_laid_there(seed: int) -> None:
    reference = reference_of(Truth(lag_s=14.0), Probe(seed=100 + seed))
    session = Session(RoastPlan(align=Align.TURNING_POINT), reference)
    probe = Probe(seed=seed, noise_sd_c=0.3, step_c=1.0)
    events = told(session, readings(Truth(preheat_c=205.0), probe, until_s=300.0))
    (turned,) = marked(events, "turning_point")
    last = samples(events)[-1]
    assert last.elapsed_s is not None
    assert turned.at_s is not None
    place_s = last.elapsed_s - (turned.at_s - reference.turning_point_s)
    assert last.reference_bean_c == pytest.approx(reference.at(place_s)[0])


def test_aligned_at_a_marked_turning_point_a_moved_charge_keeps_the_roast_laid_there() -> None:
    plan = RoastPlan(align=Align.TURNING_POINT)
    turn = by_hand(CHARGE_S + 55.0, "turning_point")
    session = Session(plan, REFERENCE)
    told(session, [*until(200.0), turn])
    session.feed(by_hand(30.0, "charge"))
    last = samples(session.feed(after(200.0)[0]))[-1]
    place_s = last.time_s - turn.time_s + REFERENCE.turning_point_s
    assert last.reference_bean_c == pytest.approx(REFERENCE.at(place_s)[0])


def test_a_hotter_roast_is_told_to_be_ahead_and_above() -> None:
    warmer = Truth(limit_c=262.0)
    events = told(Session(None, REFERENCE), readings(warmer, Probe(seed=5)))
    late = [s for s in samples(events) if s.elapsed_s is not None and 300.0 < s.elapsed_s < 500.0]
    true = [warmer.bean_c(s.time_s) - HOUSE.bean_c(s.time_s) for s in late]
    assert [s.deviation_c for s in late] == pytest.approx(true, abs=0.8)
    assert all(s.ahead_s is not None and s.ahead_s > 0.0 for s in late)
    raised = [alert for _, alert, state in alerts(events) if state == "raised"]
    assert raised.count("above_reference") == 1
    assert "ahead_of_reference" not in raised or raised.index("ahead_of_reference") < raised.index(
        "above_reference"
    )


def test_without_a_reference_no_course_is_told() -> None:
    for sample in samples(told(Session(), ROAST)):
        assert not sample.has_reference
        assert sample.deviation_c is None


def deviations(plan: RoastPlan, corridor_c: float) -> set[str]:
    """Deviation alerts of a roast 4 °C too hot, and a reference with this corridor of its own."""
    own = replace(REFERENCE, corridor_c=[corridor_c] * len(REFERENCE.bean_c))
    turned_s = CHARGE_S + REFERENCE.turning_point_s + 60.0
    hot = [
        replace(r, bean_c=(r.bean_c or 0.0) + 4.0 * min(max(r.time_s - turned_s, 0.0) / 90.0, 1.0))
        for r in ROAST
    ]
    session = Session(plan, own)
    return {
        e.alert
        for item in hot
        for e in session.feed(item)
        if isinstance(e, Alert) and str(e.family) == "deviation"
    }


def test_a_references_own_corridor_tells_when_a_roast_has_left_it() -> None:
    assert "above_reference" in deviations(RoastPlan(), corridor_c=1.5)
    assert deviations(RoastPlan(), corridor_c=30.0) == set()


def test_a_tolerance_that_was_asked_for_counts_for_more_than_the_references_own() -> None:
    asked = RoastPlan(tolerance_c=1.5, own_corridor=False)
    assert "above_reference" in deviations(asked, corridor_c=30.0)
