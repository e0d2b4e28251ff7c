"""A replay at full speed tells what the live roast told, from the same readings (contract 4)."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from roastside.core.events import Event, as_record
from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, MarkSource, Reading
from roastside.core.session import Session
from roastside.live.opening import load_reference
from roastside.live.pipeline import Pipeline
from roastside.probes.replay import ReplaySource
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from tests.live.running import FIXTURES, HOUSE, named, run
from tests.live.running import Event as Record
from tests.live.sources import LineSource


def readings_of(name: str, every: int = 1) -> list[Reading]:
    items = read_roast_file(FIXTURES / name).items()
    return [item for item in items if isinstance(item, Reading)][::every]


def followed(source: Any, recorder: Recorder | None = None) -> list[Record]:
    """Everything that is told of a roast against the house reference, as in the stream."""
    told: list[Event] = []
    source.open()
    if recorder is not None:
        recorder.open()
    session = Session(RoastPlan(), load_reference(HOUSE))
    pipeline = Pipeline(source, session, [told.extend], recorder)
    if isinstance(source, LineSource):
        source.press = lambda made: pipeline.mark(
            made.mark, at_s=made.time_s, value=made.value, note=made.note
        )
    pipeline.run()
    return [as_record(event) for event in told]


@pytest.mark.parametrize(
    "name",
    [
        "house-good-repeat-1.csv",
        "house-probe-unplugged.csv",
        "house-probe-open.csv",
        "house-probe-stuck.csv",
        "house-spikes.csv",
    ],
)
def test_the_same_readings_through_a_line_and_from_a_file_tell_the_same(
    name: str, tmp_path: Path
) -> None:
    readings = readings_of(name, every=2)
    file = tmp_path / "readings.csv"
    recorder = Recorder(file, {"title": "only readings"})
    recorder.open()
    for reading in readings:
        recorder.append(reading)
    recorder.close()
    live = followed(LineSource(readings))
    replayed = run(
        "replay", file, "--reference", HOUSE, "--speed", "max", "--events", home=tmp_path
    )
    assert replayed.events == live
    assert {event["event"] for event in live} >= {"sample", "mark", "forecast", "alert", "summary"}


def by_hand(time_s: float, mark: str, value: str = "", note: str = "") -> Mark:
    return Mark(time_s, mark, value, note, MarkSource.HAND)


PRESSED: dict[str, dict[float, Mark]] = {
    "nothing pressed": {},
    "every key": {
        36.0: by_hand(31.0, "charge"),
        200.0: by_hand(200.0, "control", "64", "heat %"),
        300.0: by_hand(300.0, "yellowing"),
        310.0: by_hand(295.0, "yellowing"),
        400.0: by_hand(400.0, "first_crack", note="pressed by mistake"),
        404.0: by_hand(404.0, "undo first_crack"),
        592.0: by_hand(590.0, "first_crack"),
        600.0: by_hand(585.0, "first_crack"),
        620.0: by_hand(620.0, "comment", note="even colour"),
        690.0: by_hand(690.0, "drop"),
    },
    "charge moved when the roast is under way": {300.0: by_hand(29.0, "charge")},
    "a detected charge withdrawn and placed again": {
        60.0: by_hand(60.0, "undo charge"),
        100.0: by_hand(33.0, "charge"),
    },
    "a drop that was none": {650.0: by_hand(650.0, "drop"), 660.0: by_hand(660.0, "undo drop")},
}
"""What a person pressed, by the stream time (s) at which they did."""


@pytest.mark.parametrize("pressed", PRESSED.values(), ids=PRESSED)
def test_a_recorded_roast_is_replayed_as_it_was_told(
    pressed: dict[float, Mark], tmp_path: Path
) -> None:
    script: list[Reading | Mark] = list(readings_of("house-slow-browning.csv", every=4))
    for at_s, mark in pressed.items():
        script.insert(next(k for k, item in enumerate(script) if item.time_s >= at_s), mark)
    file = tmp_path / "batch.csv"
    live = followed(LineSource(script), Recorder(file, {"title": "batch"}))
    again = followed(ReplaySource(file, None))

    for name in ("sample", "alert", "gap", "forecast", "summary"):
        assert named(again, name) == named(live, name), name
    by_hand_live = [mark for mark in named(live, "mark") if mark["source"] == "hand"]
    assert len(by_hand_live) == len(pressed)
    for told in by_hand_live:
        assert {**told, "source": "file"} in named(again, "mark")
