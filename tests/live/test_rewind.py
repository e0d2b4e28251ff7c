"""The board at any moment of a recording is the board the live screen had then."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields
from pathlib import Path

import numpy as np
import pytest

from roastside.core.events import Event
from roastside.core.plan import RoastPlan
from roastside.core.readings import Item, Mark, MarkName, MarkSource, Reading
from roastside.core.reference import Reference
from roastside.core.session import Session
from roastside.live.board import Board, View
from roastside.live.lag_finder import KNOWN_AFTER_S
from roastside.live.opening import load_reference
from roastside.live.rewind import Rewinder
from roastside.live.roast import LiveRoast
from roastside.probes.replay import in_time
from roastside.record.facts import append_fact
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from tests.live.running import FIXTURES, HOUSE, posix_only
from tests.live.sources import LineSource, wait_until

FOUND_ASIDE = {"lag", "version"}
"""What a live roast finds beside its readings comes when its thread has time."""


def items_of(path: Path) -> list[Item]:
    return list(in_time(read_roast_file(path).items()))


def followed(path: Path, reference: Reference | None = None) -> Rewinder:
    boards = Rewinder(items_of(path), Session(RoastPlan(), reference))
    boards.follow()
    return boards


def told(view: View, aside: bool = True) -> dict[str, object]:
    """A view as plain values that can be compared; without what is found aside, if not wanted."""
    values = {f.name: getattr(view, f.name) for f in fields(view)}
    for name, value in [*values.items()]:
        if isinstance(value, np.ndarray):
            values[name] = tuple(np.nan_to_num(value, nan=-999.0).tolist())
    values["extras"] = {
        name: tuple(np.nan_to_num(value, nan=-999.0).tolist())
        for name, value in view.extras.items()
    }
    # Live looks at the clock at moments of its own, and a countdown may just have been rounded.
    values["said"] = {each: re.sub(r"in \d+ s", "in # s", said) for each, said in view.said.items()}
    if not aside:
        values["log"] = tuple(line for line in view.log if not line.topic)
        values = {name: value for name, value in values.items() if name not in FOUND_ASIDE}
    return values


def by_hand(time_s: float, mark: str, value: str = "", note: str = "") -> Mark:
    return Mark(time_s, mark, value, note, MarkSource.HAND)


PRESSED: dict[str, dict[float, Mark]] = {
    "house-probe-unplugged.csv": {},
    "house-spikes.csv": {201.0: by_hand(201.0, "control", "64", "heat %")},
    "house-slow-browning.csv": {
        36.0: by_hand(31.0, "charge"),
        310.0: by_hand(295.0, "yellowing"),
        399.0: by_hand(399.0, "first_crack", note="pressed by mistake"),
        405.0: by_hand(405.0, "undo first_crack"),
        592.0: by_hand(590.0, "first_crack"),
        600.0: by_hand(585.0, "first_crack"),
        621.0: by_hand(621.0, "comment", note="even colour"),
        690.0: by_hand(690.0, "drop"),
    },
    "house-too-hot.csv": {300.0: by_hand(29.0, "charge")},
}
"""What a person pressed, by the stream time (s) at which they did."""


def lived(
    script: Sequence[Reading | Mark], file: Path, reference: Reference | None
) -> tuple[LiveRoast, dict[float, View]]:
    """A roast through a real line, recorded; its board after each turn, by stream time."""
    source = LineSource(script)
    session = Session(RoastPlan(), reference)
    roast = LiveRoast(source, session, Recorder(file, {"title": "batch"}))
    source.press = lambda made: roast.mark(made.mark, made.value, made.note, made.time_s)
    seen: dict[float, View] = {}

    def look(_events: Sequence[Event]) -> None:
        seen[source.now_s()] = roast.board.view()

    roast.listen(look)
    roast.open()
    roast.start()
    wait_until(lambda: roast.over, "the end of the roast")
    return roast, seen


@posix_only
@pytest.mark.parametrize("against", [HOUSE, None], ids=["reference", "no reference"])
@pytest.mark.parametrize("name", PRESSED)
def test_each_board_of_a_live_roast_is_found_again_in_its_recording(
    name: str, against: Path | None, tmp_path: Path
) -> None:
    reference = load_reference(against) if against else None
    readings = [item for item in items_of(FIXTURES / name) if isinstance(item, Reading)]
    script: list[Reading | Mark] = [*readings[::3]]
    for at_s, mark in PRESSED[name].items():
        script.insert(next(k for k, item in enumerate(script) if item.time_s > at_s), mark)
    roast, seen = lived(script, tmp_path / "batch.csv", reference)
    boards = followed(tmp_path / "batch.csv", reference)
    assert len(seen) > 300
    for now_s, view in seen.items():
        assert told(boards.at(now_s), aside=False) == told(view, aside=False), f"at {now_s} s"

    last = boards.at(boards.end_s)
    assert last.summary is not None
    live = roast.board.view
    wait_until(lambda: live().lag == last.lag and live().log == last.log, "what is found aside")


def fed(items: Sequence[Item], until_s: float, reference: Reference | None) -> View:
    """The board of a roast that was given only what was known by a stream time."""
    board, session, now_s = Board(reference), Session(RoastPlan(), reference), items[0].time_s
    for item in items:
        now_s = max(now_s, item.time_s)
        if now_s > until_s:
            break
        if events := session.feed(item):
            board(events)
            board.restate(session.standing(), session.quality)
    return board.view()


@pytest.mark.parametrize("name", ["house-stall.csv", "house-probe-open.csv", "decaf-small-v1.csv"])
def test_a_board_knows_nothing_of_what_came_later(name: str) -> None:
    reference = load_reference(HOUSE)
    boards, items = followed(FIXTURES / name, reference), items_of(FIXTURES / name)
    for until_s in (20.0, 95.0, 300.0, 520.0, 640.0):
        alone = fed(items, until_s, reference)
        assert told(boards.at(until_s), aside=False) == told(alone, aside=False), until_s


def test_the_lag_is_known_from_a_minute_past_the_turning_point_on() -> None:
    boards = followed(FIXTURES / "house-good-repeat-1.csv")
    known_s = boards.newest.marks[MarkName.TURNING_POINT] + KNOWN_AFTER_S
    assert boards.at(known_s - 1.0).lag is None
    assert boards.at(known_s + 1.0).lag == boards.newest.lag is not None


def test_a_silence_is_noticed_while_it_lasts() -> None:
    """The probe of this one was unplugged from 380 s to 420 s."""
    boards = followed(FIXTURES / "house-probe-unplugged.csv")
    standing = [[alert.alert for alert in boards.at(s).standing] for s in (381.0, 400.0, 421.0)]
    assert standing == [[], ["probe_silent"], []]


def test_what_was_added_to_the_file_after_the_roast_is_not_shown_in_it(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    file.write_bytes((FIXTURES / "house-good-repeat-1.csv").read_bytes())
    before = followed(file)
    append_fact(file, "roasted_weight_g", "1281")
    assert followed(file).newest.log == before.newest.log


def test_a_mark_corrected_after_the_roast_is_corrected_at_its_end_only(tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    file.write_bytes((FIXTURES / "house-good-repeat-1.csv").read_bytes())
    before = followed(file)
    crack_s = before.newest.marks[MarkName.FIRST_CRACK]
    with file.open("a") as more:
        more.write(f"{crack_s - 7.0},,,first_crack,,\n")
    after = followed(file)
    assert after.at(after.end_s - 0.1).marks[MarkName.FIRST_CRACK] == crack_s
    assert after.at(after.end_s).marks[MarkName.FIRST_CRACK] == crack_s - 7.0


def test_while_it_is_followed_the_newest_there_is_stands_for_what_is_to_come() -> None:
    items = items_of(FIXTURES / "house-good-repeat-1.csv")
    whole = followed(FIXTURES / "house-good-repeat-1.csv")

    class Stopping(Session):
        def feed(self, item: Item) -> list[Event]:
            if item.time_s > 300.0:
                part.stop()
            return super().feed(item)

    part = Rewinder(items, Stopping(RoastPlan()))
    part.follow()
    assert not part.whole
    assert 299.0 < part.until_s < 301.0
    assert told(part.at(700.0)) == told(part.at(part.until_s)) == told(whole.at(part.until_s))
    assert told(part.at(250.0)) == told(whole.at(250.0))


def test_before_anything_came_and_without_anything_the_board_is_empty(tmp_path: Path) -> None:
    boards = followed(FIXTURES / "house-good-repeat-1.csv")
    assert boards.at(boards.begin_s - 1.0).last is None
    file = tmp_path / "empty.csv"
    file.write_text("time_s,bean_c,mark\n")
    empty = followed(file)
    assert empty.begin_s == empty.end_s == 0.0
    summary = empty.at(0.0).summary
    assert summary is not None
    assert summary.readings == 0
