"""Planned changes of the controls, as they are said."""

from __future__ import annotations

import pytest

from roastside.core.cues import Cue, control_words, cues_from
from roastside.core.events import Alert
from roastside.core.readings import Mark, MarkName
from roastside.core.session import Session
from tests.core.roasts import QUIET, Probe, Truth, by_hand, readings, reference_of, told

HOUSE = Truth()


def control(time_s: float, value: str, note: str) -> Mark:
    return Mark(time_s, MarkName.CONTROL, value, note)


@pytest.mark.parametrize(
    ("value", "note", "words"),
    [
        ("70", "heat %", "heat to 70 %"),
        ("3", "fan", "fan to 3"),
        ("", "open the flap", "open the flap"),
        ("5", "", "5"),
        ("", "", ""),
    ],
)
def test_a_control_is_said_as_a_person_says_it(value: str, note: str, words: str) -> None:
    assert control_words(control(1.0, value, note)) == words


def test_controls_set_together_are_one_cue_and_those_at_charge_are_none() -> None:
    curve = [(float(s), 100.0 + s / 4.0) for s in range(600)]
    marks = [
        control(40.0, "80", "heat %"),
        control(240.0, "60", "heat %"),
        control(242.0, "40", "air %"),
        control(340.0, "50", "heat %"),
        control(900.0, "0", "heat %"),
    ]
    assert cues_from(marks, 40.0, curve) == (
        Cue(200.0, 150.0, "heat to 60 %, air to 40 %"),
        Cue(300.0, 175.0, "heat to 50 %"),
    )


def test_each_cue_is_told_once_a_quarter_of_a_minute_ahead_at_its_temperature() -> None:
    controls = [control(HOUSE.charge_s + at_s, "60", "heat %") for at_s in (250.0, 400.0)]
    reference = reference_of(HOUSE, QUIET).with_cues(controls, HOUSE.charge_s)
    events = told(Session(None, reference), readings(HOUSE, Probe(seed=3)))
    said = [e for e in events if isinstance(e, Alert) and e.alert == "cue_soon"]
    raised = [e for e in said if e.state == "raised"]
    assert [e.elapsed_s for e in raised] == pytest.approx([235.0, 385.0], abs=3.0)
    assert raised[0].message.startswith("heat to 60 % in 1")


def test_after_the_drop_no_cue_is_told() -> None:
    controls = [control(HOUSE.charge_s + 400.0, "60", "heat %")]
    reference = reference_of(HOUSE, QUIET).with_cues(controls, HOUSE.charge_s)
    dropped = by_hand(HOUSE.charge_s + 380.0, "drop")
    items = [r for r in readings(HOUSE, Probe(seed=3)) if r.time_s < 420.0]
    early = [r for r in items if r.time_s < dropped.time_s]
    late = [r for r in items if r.time_s >= dropped.time_s]
    events = told(Session(None, reference), [*early, dropped, *late])
    raised = [e for e in events if isinstance(e, Alert) and e.alert == "cue_soon"]
    assert raised == []
