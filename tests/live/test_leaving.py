"""A roast whose program is told to go: whether the next start offers to go on with it."""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, MarkName, Reading
from roastside.core.session import Session
from roastside.live.headless import run_headless
from roastside.live.roast import LiveRoast
from roastside.record.recorder import Recorder
from tests.live.sources import HandFedSource

PATIENCE_S = 20.0


def roast_with(file: Path, *marks: MarkName) -> tuple[LiveRoast, list[str]]:
    """A roast under way with these marks, and what was forgotten of it."""
    forgotten: list[str] = []
    source = HandFedSource()
    recorder = Recorder(file, {})
    roast = LiveRoast(
        source,
        Session(RoastPlan()),
        recorder,
        note=lambda path: lambda: forgotten.append(path.name),
    )
    roast.open()
    roast.start()
    source.put(*(Reading(k / 2.0, 200.0) for k in range(20)))
    source.put(*(Mark(9.0 + at_s, mark) for at_s, mark in enumerate(marks)))
    deadline = time.monotonic() + PATIENCE_S
    while not set(marks) <= set(roast.board.view().marks):
        assert time.monotonic() < deadline
        time.sleep(0.01)
    return roast, forgotten


def test_with_beans_in_the_roaster_it_can_be_gone_on_with(tmp_path: Path) -> None:
    roast, forgotten = roast_with(tmp_path / "batch.csv", MarkName.CHARGE)
    roast.leave()
    roast.end()  # as the program does on its way out
    assert roast.over
    assert forgotten == []


@pytest.mark.parametrize("marks", [(), (MarkName.CHARGE, MarkName.DROP)])
def test_before_charge_and_after_the_drop_there_is_nothing_to_go_on_with(
    marks: tuple[MarkName, ...], tmp_path: Path
) -> None:
    roast, forgotten = roast_with(tmp_path / "batch.csv", *marks)
    roast.leave()
    assert forgotten == ["batch.csv"]


def test_a_roast_that_a_person_ended_is_over_whatever_comes_after(tmp_path: Path) -> None:
    roast, forgotten = roast_with(tmp_path / "batch.csv", MarkName.CHARGE)
    roast.end()
    roast.leave()
    assert forgotten == ["batch.csv"]


@pytest.mark.parametrize(
    ("marks", "forgotten"),
    [((), ["x"]), ((MarkName.CHARGE,), []), ((MarkName.CHARGE, MarkName.DROP), ["x"])],
)
def test_without_a_screen_too_it_can_be_gone_on_with(
    marks: tuple[MarkName, ...],
    forgotten: list[str],
    tmp_path: Path,
    capfd: pytest.CaptureFixture[str],
) -> None:
    source, told = HandFedSource(), list[str]()
    source.put(*(Reading(k / 2.0, 200.0) for k in range(20)))
    source.put(*(Mark(9.0 + at_s, mark) for at_s, mark in enumerate(marks)))
    source.end_when_empty()
    recorder = Recorder(tmp_path / "batch.csv", {})
    note = lambda path: lambda: told.append("x")  # noqa: E731
    assert run_headless(source, Session(RoastPlan()), recorder, note) == 0
    assert told == forgotten
