"""A roast in the background with a person's hand on the marks."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from roastside.core.errors import ProbeError, StoreError
from roastside.core.events import Event, Marked
from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, Reading, Tick
from roastside.core.session import Session
from roastside.live.hand import TakenBack
from roastside.live.roast import STEP_BACK_S, LiveRoast
from roastside.probes.practice import PracticeSource, Script
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from tests.live.sources import HandFedSource, wait_until


class Beside:
    """A running roast, hand-fed, and what is known of it."""

    def __init__(self, file: Path) -> None:
        self.file = file
        self.source = HandFedSource()
        self.roast = LiveRoast(self.source, Session(), Recorder(file, {"title": "batch"}))
        self.told: list[Event] = []
        self.roast.listen(self.told.extend)
        self.roast.open()
        self.roast.start()

    def read(self, *readings: Reading) -> None:
        """Feed readings and wait until the board shows the last of them."""
        self.source.put(*readings)
        wait_until(lambda: self._shows(readings[-1]), f"{readings[-1]}")

    def _shows(self, reading: Reading) -> bool:
        last = self.roast.board.view().last
        return last is not None and last.time_s >= reading.time_s

    def marks(self, count: int) -> list[tuple[str, float]]:
        """Marks told so far, when there are so many."""
        wait_until(lambda: len(self._marked()) >= count, f"mark {count}")
        assert len(self._marked()) == count
        return [(event.mark, event.moment_s) for event in self._marked()]

    def _marked(self) -> list[Marked]:
        return [event for event in list(self.told) if isinstance(event, Marked)]


@pytest.fixture
def beside(tmp_path: Path) -> Iterator[Beside]:
    made = Beside(tmp_path / "batch.csv")
    yield made
    made.roast.end()


def test_a_mark_moves_back_five_seconds_a_press_and_every_step_can_be_taken_back(
    beside: Beside,
) -> None:
    beside.read(Reading(100.0, 190.0))
    beside.roast.mark("charge", at_s=10.0)
    beside.roast.mark("first_crack")
    assert beside.marks(2)[-1] == ("first_crack", 100.0)
    assert beside.roast.step_back() == "first_crack"
    assert beside.marks(3)[-1] == ("first_crack", 100.0 - STEP_BACK_S)
    assert beside.roast.step_back() == "first_crack"
    assert beside.marks(4)[-1] == ("first_crack", 100.0 - 2 * STEP_BACK_S)
    assert beside.roast.undo() == TakenBack("first_crack", 100.0 - STEP_BACK_S)
    assert beside.roast.undo() == TakenBack("first_crack", 100.0)
    assert beside.marks(6)[-1] == ("first_crack", 100.0)
    assert beside.roast.undo() == TakenBack("first_crack", None)
    assert beside.marks(7)[-1] == ("undo first_crack", 100.0)
    assert beside.roast.undo() == TakenBack("charge", None)
    beside.marks(8)
    assert (beside.roast.undo(), beside.roast.step_back()) == (None, None)
    beside.roast.end()
    kept = read_roast_file(beside.file)
    assert kept.marks() == {}
    assert [row.mark for row in kept.rows if row.mark] == [
        *("charge", "first_crack", "first_crack", "first_crack", "first_crack", "first_crack"),
        *("undo first_crack", "undo charge"),
    ]


def test_remarks_and_controls_are_neither_moved_nor_withdrawn(beside: Beside) -> None:
    beside.read(Reading(5.0, 190.0))
    beside.roast.mark("control", value="70", note="heat %")
    beside.roast.mark("comment", note="smells of hay")
    assert len(beside.marks(2)) == 2
    assert beside.roast.undo() is None


def test_the_mark_placed_last_is_the_first_to_be_withdrawn(beside: Beside) -> None:
    beside.read(Reading(100.0, 190.0))
    for mark, at_s in (("charge", 10.0), ("yellowing", 90.0), ("charge", 11.0)):
        beside.roast.mark(mark, at_s=at_s)
    beside.marks(3)
    assert beside.roast.undo() == TakenBack("charge", 10.0)


def test_the_end_stores_everything_and_the_board_knows_it_is_over(beside: Beside) -> None:
    beside.read(Reading(0.0, 190.0), Reading(0.5, 190.0))
    assert not beside.roast.over
    beside.roast.mark("drop")
    beside.roast.end()
    assert beside.roast.over
    assert (beside.roast.exit_code, beside.roast.store_error) == (0, None)
    assert beside.source.closed
    kept = read_roast_file(beside.file)
    assert (len(kept.rows), kept.marks()) == (3, {"drop": 0.5})
    beside.roast.end()


def test_all_that_stands_is_acknowledged_together(beside: Beside) -> None:
    beside.read(*(Reading(0.5 * k, 250.0) for k in range(10)))
    assert [alert.alert for alert in beside.roast.board.view().standing] == ["over_temperature"]
    assert beside.roast.acknowledge() == 1
    wait_until(
        lambda: [str(a.state) for a in beside.roast.board.view().standing] == ["acknowledged"],
        "the acknowledgement",
    )


def test_a_listener_s_bug_is_told_and_is_exit_code_1(
    beside: Beside, monkeypatch: pytest.MonkeyPatch
) -> None:
    traced: list[object] = []
    monkeypatch.setattr("threading.excepthook", traced.append)

    def stumble(_events: object) -> None:
        raise ZeroDivisionError("a bug")

    beside.roast.listen(stumble)
    beside.source.put(Reading(0.0, 190.0))
    wait_until(lambda: beside.roast.over, "the end")
    assert "ZeroDivisionError" in beside.roast.trouble
    assert beside.roast.exit_code == 1
    beside.roast.end()
    assert len(traced) == 1
    assert len(read_roast_file(beside.file).rows) == 1


def test_what_cannot_be_stored_closes_the_source_again(tmp_path: Path) -> None:
    source = HandFedSource()
    recorder = Recorder(tmp_path / "no-such-folder" / "batch.csv", {})
    with pytest.raises(StoreError):
        LiveRoast(source, Session(), recorder).open()
    assert source.closed


def test_a_probe_that_cannot_be_reached_makes_no_recording(tmp_path: Path) -> None:
    class Unreachable(HandFedSource):
        def open(self) -> None:
            raise ProbeError("There is no port x; name another.")

    file = tmp_path / "batch.csv"
    with pytest.raises(ProbeError):
        LiveRoast(Unreachable(), Session(), Recorder(file, {})).open()
    assert not file.exists()


def test_a_practice_roaster_obeys_the_person_at_its_controls() -> None:
    source = PracticeSource(Script(marked_by_hand=False), speed=500.0)
    roast = LiveRoast(source, Session())
    roast.open()
    roast.start()
    roast.mark("control", value="100", note="heat %")
    wait_until(lambda: source.batch.roaster.heat == 1.0, "the heat")
    roast.end()
    assert source.batch.roaster.heat == 1.0


def test_only_what_a_person_marked_is_obeyed() -> None:
    class Obeying(HandFedSource):
        def __init__(self) -> None:
            super().__init__()
            self.taken: list[Mark] = []

        def take(self, mark: Mark) -> None:
            self.taken.append(mark)

    source = Obeying()
    roast = LiveRoast(source, Session())
    roast.open()
    roast.start()
    roast.mark("drop", at_s=3.0)
    wait_until(lambda: source.taken, "the drop")
    roast.end()
    assert [(mark.mark, mark.time_s) for mark in source.taken] == [("drop", 3.0)]


def test_in_a_silence_a_standing_alert_keeps_telling_how_long_it_lasts() -> None:
    source = HandFedSource()
    roast = LiveRoast(source, Session(RoastPlan()))
    roast.open()
    roast.start()
    try:
        source.put(*(Reading(0.5 * n, 200.0 + n % 2 * 0.25) for n in range(40)))
        wait_until(lambda: len(roast.board.view().time_s) == 40, "the readings")
        source.put(Tick(26.0))
        wait_until(lambda: "probe_silent" in roast.board.view().said, "the alert")
        before = roast.board.view().said["probe_silent"]
        source.put(Tick(56.0))
        wait_until(lambda: roast.board.view().said["probe_silent"] != before, "other words")
    finally:
        roast.end()
