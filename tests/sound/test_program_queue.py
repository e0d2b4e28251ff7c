"""Programs take turns by rank; few wait, and nobody waits for them."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from roastside.sound.once import Once
from roastside.sound.program import Ending, Outcome, Program
from roastside.sound.program_queue import ProgramQueue

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import HANG, PATIENCE_S, StandIn, waits_for


class Bench:
    """A queue whose first program runs until the gate is opened, so that others must wait."""

    def __init__(self, folder: Path, room: int = 8) -> None:
        self.gate = folder / "gate"
        self.stand_in = StandIn(folder, "waits", waits_for(self.gate))
        self.ended: list[tuple[str, Ending]] = []
        self.now_s = 0.0
        self.queue = ProgramQueue("bench", self._note, room, clock=lambda: self.now_s)
        self.add("first", rank=9)
        self.stand_in.wait_for_runs(1)

    def add(self, name: str, rank: int = 0, fresh_s: float = 1e9) -> bool:
        return self.queue.add(self.program(name), rank, fresh_s)

    def program(self, name: str) -> Program:
        return Program([str(self.stand_in.path), name], PATIENCE_S)

    def open(self) -> list[str]:
        """Let all run; the names in the order in which they did."""
        self.gate.touch()
        assert self.queue.wait(PATIENCE_S)
        return [name for name, _ in self.ended]

    def _note(self, program: Program, outcome: Outcome) -> None:
        self.ended.append((program.arguments[1], outcome.ending))


def test_the_highest_rank_goes_first_then_the_oldest(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    for name, rank in (("a", 0), ("b", 1), ("c", 0), ("d", 1)):
        assert bench.add(name, rank)
    assert bench.open() == ["first", "b", "d", "a", "c"]
    assert {ending for _, ending in bench.ended} == {Ending.DONE}


def test_when_there_is_no_room_the_lowest_and_oldest_goes(tmp_path: Path) -> None:
    bench = Bench(tmp_path, room=3)
    room = [bench.add(name, rank) for name, rank in (("a", 1), ("b", 0), ("c", 0), ("d", 1))]
    assert room == [True, True, True, False]
    assert bench.open() == ["first", "a", "d", "c"]


def test_what_waited_too_long_is_not_run(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.add("stale", fresh_s=10.0)
    bench.add("fresh", fresh_s=20.0)
    bench.now_s = 15.0
    assert bench.open() == ["first", "fresh"]


def test_cut_off_ends_and_drops_what_is_lower(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.add("low", rank=1)
    bench.add("high", rank=12)
    bench.queue.cut_off(below=10)
    assert bench.open() == ["first", "high"]
    assert bench.ended[0] == ("first", Ending.STOPPED)


def test_cut_off_spares_what_is_as_high(tmp_path: Path) -> None:
    bench = Bench(tmp_path)
    bench.queue.cut_off(below=9)
    assert bench.open() == ["first"]
    assert bench.ended == [("first", Ending.DONE)]


def test_stop_ends_what_runs_and_runs_nothing_more(tmp_path: Path) -> None:
    hanging = StandIn(tmp_path, "hangs", HANG)
    endings: list[Ending] = []
    queue = ProgramQueue("bench", lambda _, outcome: endings.append(outcome.ending))
    queue.add(Program([str(hanging.path)], PATIENCE_S))
    queue.add(Program([str(hanging.path)], PATIENCE_S))
    hanging.wait_for_runs(1)
    assert queue.stop(PATIENCE_S)
    queue.add(Program([str(hanging.path)], PATIENCE_S))
    assert queue.wait(PATIENCE_S)
    assert endings == [Ending.STOPPED]
    assert len(hanging.runs) == 1


def test_a_queue_that_was_never_used_stops() -> None:
    assert ProgramQueue("bench", lambda *_: None).stop()


def test_a_listener_that_fails_does_not_end_the_queue(tmp_path: Path) -> None:
    stand_in = StandIn(tmp_path, "listens")

    def fail(program: Program, outcome: Outcome) -> None:
        raise RuntimeError("the screen is gone")

    queue = ProgramQueue("bench", fail)
    for count in (1, 2):
        queue.add(Program([str(stand_in.path)], PATIENCE_S))
        assert queue.wait(PATIENCE_S)
        stand_in.wait_for_runs(count)


def test_a_matter_is_told_once() -> None:
    told: list[str] = []
    tell_once = Once(told.append)
    for matter in ("hangs", "hangs", "fails", "hangs"):
        tell_once(matter, f"it {matter}")
    assert told == ["it hangs", "it fails"]
