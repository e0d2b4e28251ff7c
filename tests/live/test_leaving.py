"""A roast whose program is told to go: whether the next start offers to go on with it."""

from __future__ import annotations

import time

import pytest

from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, MarkName, Reading
from roastside.core.session import Session
from roastside.live.roast import LiveRoast
from tests.live.sources import HandFedSource

PATIENCE_S = 20.0


def roast_with(*marks: MarkName) -> tuple[LiveRoast, list[str]]:
    """A roast under way with these marks, and what was forgotten of it."""
    forgotten: list[str] = []
    source = HandFedSource()
    roast = LiveRoast(source, Session(RoastPlan()), forget=lambda: forgotten.append("note"))
    roast.open()
    roast.start()
    source.put(*(Reading(k / 2.0, 200.0) for k in range(20)))
    source.put(*(Mark(9.0 + at_s, mark) for at_s, mark in enumerate(marks)))
    deadline = time.monotonic() + PATIENCE_S
    while not set(marks) <= set(roast.board.view().marks):
        assert time.monotonic() < deadline
        time.sleep(0.01)
    return roast, forgotten


def test_with_beans_in_the_roaster_it_can_be_gone_on_with() -> None:
    roast, forgotten = roast_with(MarkName.CHARGE)
    roast.leave()
    roast.end()  # as the program does on its way out
    assert roast.over
    assert forgotten == []


@pytest.mark.parametrize("marks", [(), (MarkName.CHARGE, MarkName.DROP)])
def test_before_charge_and_after_the_drop_there_is_nothing_to_go_on_with(
    marks: tuple[MarkName, ...],
) -> None:
    roast, forgotten = roast_with(*marks)
    roast.leave()
    assert forgotten == ["note"]


def test_a_roast_that_a_person_ended_is_over_whatever_comes_after() -> None:
    roast, forgotten = roast_with(MarkName.CHARGE)
    roast.end()
    roast.leave()
    assert forgotten == ["note"]
