"""The fold takes whatever comes, and what it says never hangs on when it was asked."""

from __future__ import annotations

import json
from dataclasses import replace
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.events import Event, Forecast, Marked, Sample, as_record
from roastside.core.plan import Align, RoastPlan
from roastside.core.readings import (
    ONCE_ONLY,
    Item,
    Mark,
    MarkSource,
    Outage,
    Reading,
    StoreFault,
    Tick,
)
from roastside.core.session import Session
from tests.core.roasts import Probe, Truth, by_hand, readings, reference_of, steady, told

HOUSE = Truth()
REFERENCE = reference_of(HOUSE, Probe(1.0, seed=80), first_crack=HOUSE.reaches_s(196.0))


def eventful_roast(seed: int) -> list[Item]:
    """A roast with silences, missing readings, marks moved, withdrawn and back-dated."""
    random = Random(seed)
    probe = Probe(random.choice((0.5, 1.0)), 0.25, jitter_s=0.1, spike_share=0.01, seed=seed)
    items: list[Item] = [
        Reading(r.time_s, None) if random.random() < 0.01 else r
        for r in readings(HOUSE, probe)
        if not (150.0 < r.time_s < 157.3 or 420.0 < r.time_s < 421.5)
    ]
    handed = (
        (100.0, by_hand(38.0, "charge")),
        (153.1, Mark(153.1, "comment", note="cable came off")),
        (300.0, by_hand(296.0, "yellowing")),
        (500.0, Mark(500.0, "control", "60", "heat %")),
        (585.0, by_hand(580.0, "first_crack")),
        (590.0, by_hand(577.5, "first_crack")),
        (630.0, by_hand(630.0, "drop")),
        (632.0, by_hand(632.0, "undo drop")),
    )
    for at_s, mark in handed:
        place = next(k for k, item in enumerate(items) if item.time_s > at_s)
        items.insert(place, mark)
    return items


def looked_at_often(items: list[Item], random: Random) -> list[Item]:
    """The same items with the clock looked at in between, at any phase."""
    result: list[Item] = []
    now_s = items[0].time_s
    for item in items:
        if result:
            ahead_s = item.time_s - now_s
            looks = sorted(random.uniform(0.0, ahead_s) for _ in range(random.randint(0, 4)))
            result += [Tick(round(now_s + look, 3)) for look in looks if ahead_s > 0.01]
        result.append(item)
        now_s = max(now_s, item.time_s)
    return result


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("align", list(Align))
def test_looking_at_the_clock_in_between_changes_nothing(seed: int, align: Align) -> None:
    plan = RoastPlan(align=align)
    items = eventful_roast(seed)
    at_once = Session(plan, REFERENCE)
    looked = Session(plan, REFERENCE)
    assert told(at_once, items) == told(looked, looked_at_often(items, Random(seed)))
    assert at_once.finish() == looked.finish()


def test_a_mark_made_in_a_silence_does_not_put_off_its_alert() -> None:
    items: list[Item] = [Reading(0.5 * k, 200.0) for k in range(41)]
    mark = Mark(30.2, "comment", note="cable came off")
    at_once = told(Session(), [*items, mark, Reading(35.0, 200.0)])
    looks = [Tick(20.0 + 0.1 * k) for k in range(1, 102)]
    assert told(Session(), [*items, *looks, mark, Reading(35.0, 200.0)]) == at_once


def recorded(items: list[Item], session: Session) -> tuple[list[Item], list[Event]]:
    """What the roast file of a live roast holds (marks found are rows too), and what was told."""
    rows: list[Item] = []
    events: list[Event] = []
    for item in items:
        found = session.feed(item)
        rows.append(replace(item, source=MarkSource.FILE) if isinstance(item, Mark) else item)
        rows += [
            Mark(round(e.moment_s, 3), e.mark, note="auto", source=MarkSource.FILE)
            for e in found
            if isinstance(e, Marked) and e.source is MarkSource.AUTO
        ]
        events += found
    return rows, events


@pytest.mark.parametrize("seed", range(4))
def test_a_recording_with_the_detected_marks_in_it_replays_to_the_same_events(seed: int) -> None:
    items = [i for i in eventful_roast(seed) if not (isinstance(i, Mark) and i.mark == "charge")]
    rows, live = recorded(items, Session(None, REFERENCE))
    # Only who placed a mark differs: what a hand did in life, the file says in the replay.
    said_by_file = [
        replace(e, source=MarkSource.FILE)
        if isinstance(e, Marked) and e.source is MarkSource.HAND
        else e
        for e in live
    ]
    assert told(Session(None, REFERENCE), rows) == said_by_file


def test_each_forecast_and_alert_follows_the_sample_it_was_made_from() -> None:
    last_sample_s = -1.0
    for event in told(Session(None, REFERENCE), eventful_roast(3)):
        if isinstance(event, Sample):
            assert event.time_s >= last_sample_s
            last_sample_s = event.time_s
        if isinstance(event, Forecast):
            assert event.time_s == last_sample_s


times_s = st.floats(-20.0, 900.0).map(lambda at: round(at, 3)) | st.sampled_from(
    (0.0, 2000.0, -1e6)
)
temperatures_c = (
    st.none() | st.floats(allow_nan=True, allow_infinity=True) | st.floats(-60.0, 510.0)
)
names = st.sampled_from((*ONCE_ONLY, "control", "comment", "tasted", ""))
words = names | names.map(lambda name: f"undo {name}") | st.text(max_size=5)
marks = st.builds(
    Mark,
    times_s,
    words,
    st.text(max_size=4) | st.sampled_from(("nan", "70", "1e999")),
    st.text(max_size=4),
    st.sampled_from(MarkSource),
)
items = st.one_of(
    st.builds(Reading, times_s, temperatures_c, temperatures_c),
    st.builds(Reading, times_s, temperatures_c),
    marks,
    st.builds(Tick, times_s),
    st.builds(Outage, times_s, st.text(max_size=5)),
    st.builds(StoreFault, times_s, st.text(max_size=5)),
)
plans = st.sampled_from((RoastPlan(), RoastPlan(align=Align.TURNING_POINT)))


def as_lines(session: Session, fed: list[Item]) -> None:
    """Everything told, written as the lines of --events: raises if any of it is no JSON."""
    for event in [*told(session, fed), session.finish()]:
        json.dumps(as_record(event), allow_nan=False)


@settings(steady, max_examples=80)
@given(st.lists(items, max_size=25), plans, st.booleans())
def test_whatever_comes_is_taken_and_told_in_plain_json(
    fed: list[Item], plan: RoastPlan, compared: bool
) -> None:
    as_lines(Session(plan, REFERENCE if compared else None), fed)


COARSE = readings(HOUSE, Probe(interval_s=2.0, seed=81))


@settings(steady, max_examples=25)
@given(st.lists(st.tuples(st.integers(0, len(COARSE)), items), max_size=8), plans)
def test_anything_may_happen_in_the_middle_of_a_roast(
    happenings: list[tuple[int, Item]], plan: RoastPlan
) -> None:
    fed: list[Item] = list(COARSE)
    for place, happening in happenings:
        fed.insert(place, happening)
    as_lines(Session(plan, REFERENCE), fed)


@settings(steady, max_examples=40)
@given(st.permutations(range(40)))
def test_readings_in_any_order_are_all_counted(order: list[int]) -> None:
    session = Session()
    told(session, [Reading(float(k), 150.0 + k) for k in order])
    summary = session.finish()
    assert summary.readings + summary.missing == 40
    highest = [k for i, k in enumerate(order) if k == max(order[: i + 1])]
    assert summary.readings == len(highest)
