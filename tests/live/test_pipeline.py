"""The pipeline: the recording first, then the fold, then everyone who listens, in their order."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path

import pytest

from roastside.core.errors import StoreError
from roastside.core.events import Alert, Event, Gap, Marked, Sample, Summary
from roastside.core.readings import Item, Mark, MarkSource, Outage, Reading
from roastside.core.session import Session
from roastside.live.pipeline import Pipeline, raised
from roastside.probes.practice import PracticeSource
from roastside.record.reader import RoastFile, read_roast_file
from roastside.record.recorder import Recorder
from tests.live.sources import PATIENCE_S, HandFedSource, LineSource

READINGS = [Reading(0.5 * k, 200.0 + 0.25 * k, 230.0) for k in range(12)]


class Stumbling(Session):
    """A fold with a bug that shows at the nth reading."""

    def __init__(self, nth: int) -> None:
        super().__init__()
        self._left = nth

    def feed(self, item: Item) -> list[Event]:
        if isinstance(item, Reading):
            self._left -= 1
            if self._left == 0:
                raise ZeroDivisionError("a bug")
        return super().feed(item)


def readings_in(roast: RoastFile) -> list[Reading]:
    return [item for item in roast.items() if isinstance(item, Reading)]


def recorder_at(path: Path) -> Recorder:
    recorder = Recorder(path, {"title": "batch"})
    recorder.open()
    return recorder


def hand_fed(*items: Item) -> HandFedSource:
    """A source that gives these and then ends."""
    source = HandFedSource()
    source.put(*items)
    source.end_when_empty()
    return source


@pytest.mark.parametrize("nth", [1, 7])
def test_a_reading_is_recorded_before_it_is_computed(nth: int, tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    source = LineSource(READINGS)
    source.open()
    pipeline = Pipeline(source, Stumbling(nth), [], recorder_at(file))
    with pytest.raises(ZeroDivisionError):
        pipeline.run()
    assert readings_in(read_roast_file(file)) == READINGS[:nth]


def test_a_reading_is_recorded_before_anyone_is_told(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    counts: list[tuple[int, int]] = []
    told = 0

    def count(events: Sequence[Event]) -> None:
        nonlocal told
        told += sum(isinstance(event, Sample) for event in events)
        counts.append((told, len(readings_in(read_roast_file(file)))))

    Pipeline(hand_fed(*READINGS), Session(), [count], recorder_at(file)).run()
    assert told == len(READINGS)
    assert all(recorded >= heard for heard, recorded in counts)


def test_a_listener_who_stumbles_leaves_the_recording_whole(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    source = hand_fed(*READINGS)
    recorder = recorder_at(file)

    def stumble(events: Sequence[Event]) -> None:
        raise ZeroDivisionError("a bug")

    with pytest.raises(ZeroDivisionError):
        Pipeline(source, Session(), [stumble], recorder).run()
    assert source.closed
    assert readings_in(read_roast_file(file)) == READINGS[:1]
    with pytest.raises(StoreError, match="not open"):
        recorder.append(READINGS[0])


def test_listeners_hear_everything_one_after_the_other() -> None:
    heard: list[tuple[str, Event]] = []
    listeners = [
        lambda events, name=name: heard.extend((name, event) for event in events)
        for name in ("first", "second")
    ]
    Pipeline(hand_fed(*READINGS[:2]), Session(), listeners).run()
    assert [name for name, _ in heard] == ["first", "second"] * 3
    assert heard[0][1] == heard[1][1]
    assert isinstance(heard[-1][1], Summary)


def test_a_mark_by_hand_is_stamped_when_the_key_is_pressed_and_recorded(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    source = hand_fed(*READINGS)
    told: list[Event] = []
    pipeline = Pipeline(source, Session(), [told.extend], recorder_at(file))

    def press(events: Sequence[Event]) -> None:
        if source.now_s() == 2.0 and not any(isinstance(event, Marked) for event in told):
            pipeline.mark("charge")
            pipeline.mark("first_crack", at_s=1.25, note="heard\nit \x1b[31mearly")
            pipeline.mark("control", value="70", note="heat %")

    pipeline.consumers.append(press)
    pipeline.run()
    marks = [item for item in read_roast_file(file).items() if isinstance(item, Mark)]
    assert marks == [
        Mark(2.0, "charge", source=MarkSource.FILE),
        Mark(1.25, "first_crack", note="heard it early", source=MarkSource.FILE),
        Mark(2.0, "control", "70", "heat %", MarkSource.FILE),
    ]
    marked = [event for event in told if isinstance(event, Marked)]
    assert [(event.mark, event.moment_s) for event in marked] == [
        ("charge", 2.0),
        ("first_crack", 1.25),
        ("control", 2.0),
    ]
    assert {event.source for event in marked} == {MarkSource.HAND}
    assert [event for event in marked if "\x1b" in event.note] == []


def test_a_mark_made_as_the_roast_is_stopped_is_not_lost(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    pipeline = Pipeline(hand_fed(*READINGS), Session(), [], recorder_at(file))
    pipeline.stop()
    pipeline.mark("drop", at_s=5.5)
    pipeline.run()
    assert read_roast_file(file).marks() == {"drop": 5.5}


def test_found_marks_are_recorded_with_a_note_of_it(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    told: list[Event] = []
    source = PracticeSource(speed=None)
    source.open()
    Pipeline(source, Session(), [told.extend], recorder_at(file)).run()
    auto = {e.mark: e.moment_s for e in told if isinstance(e, Marked) and e.source == "auto"}
    assert set(auto) == {"charge", "turning_point", "yellowing", "drop"}
    rows = read_roast_file(file).rows
    assert {row.mark: row.time_s for row in rows if row.note == "auto"} == auto


def test_a_lost_line_is_a_remark_in_the_recording_and_the_reason_of_the_gap(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    told: list[Event] = []
    lost = Outage(1.0, "the cable was pulled")
    source = hand_fed(READINGS[0], READINGS[1], lost, Reading(9.0, 201.0))
    Pipeline(source, Session(), [told.extend], recorder_at(file)).run()
    remarks = [row for row in read_roast_file(file).rows if row.mark == "comment"]
    assert [(row.time_s, row.note) for row in remarks] == [
        (1.0, "probe lost: the cable was pulled")
    ]
    reasons = [event.reason for event in told if isinstance(event, Gap)]
    assert reasons == ["the cable was pulled"]


def test_a_seen_alert_is_told_as_acknowledged() -> None:
    told: list[Event] = []
    scorched = [Reading(0.5 * k, 250.0) for k in range(20)]
    pipeline = Pipeline(hand_fed(*scorched), Session(), [told.extend])

    def see(events: Sequence[Event]) -> None:
        for alert in raised(events):
            pipeline.acknowledge(alert.alert)

    pipeline.consumers.append(see)
    pipeline.run()
    alerts = [(event.alert, str(event.state)) for event in told if isinstance(event, Alert)]
    assert alerts == [("over_temperature", "raised"), ("over_temperature", "acknowledged")]


def test_another_thread_can_stop_it_and_everything_is_closed(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    source = HandFedSource()
    source.put(*READINGS)
    told: list[Event] = []
    heard_all = threading.Event()

    def listen(events: Sequence[Event]) -> None:
        told.extend(events)
        if sum(isinstance(event, Sample) for event in told) == len(READINGS):
            heard_all.set()

    recorder = recorder_at(file)
    pipeline = Pipeline(source, Session(), [listen], recorder)
    running = threading.Thread(target=pipeline.run)
    running.start()
    assert heard_all.wait(PATIENCE_S), "the readings were not told"
    pipeline.stop()
    running.join(PATIENCE_S)
    assert not running.is_alive()
    assert source.closed
    assert isinstance(told[-1], Summary)
    assert told[-1].readings == len(READINGS)
    assert readings_in(read_roast_file(file)) == READINGS
    assert pipeline.store_error is None


def test_stopped_before_it_begins_it_still_gives_a_summary() -> None:
    told: list[Event] = []
    pipeline = Pipeline(hand_fed(*READINGS), Session(), [told.extend])
    pipeline.stop()
    pipeline.run()
    assert [type(event) for event in told] == [Summary]
