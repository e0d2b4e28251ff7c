"""Going about in a recording: readings, marks, both ends."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from roastside.core.errors import RecordError
from roastside.core.readings import MarkName
from roastside.core.session import Session
from roastside.live.beginnings import replayed_roast
from roastside.live.replay import Replay
from roastside.record.reader import read_roast_file
from roastside.record.titles import file_stem
from tests.live.running import FIXTURES
from tests.live.sources import wait_until

GOOD = FIXTURES / "house-good-repeat-1.csv"


@pytest.fixture
def replay() -> Replay:
    """A replay that was followed to its end, standing still at its beginning."""
    replay = Replay(GOOD, Session(), 10.0)
    replay.boards.follow()
    return replay


def test_it_opens_at_its_beginning_and_at_no_speed_at_its_end() -> None:
    assert Replay(GOOD, Session(), 10.0).playhead.position_s == 0.0
    replay = Replay(GOOD, Session(), None)
    assert replay.playhead.position_s == replay.playhead.end_s == replay.boards.end_s > 600.0
    assert replay.playhead.speed == 1.0


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="not there"):
        Replay(tmp_path / "gone.csv", Session(), 1.0)


def test_it_is_followed_in_the_background_and_seen_as_far_as_that_has_come() -> None:
    replay = Replay(GOOD, Session(), None)
    assert replay.now_s == replay.boards.begin_s
    assert replay.view().last is None
    replay.start()
    wait_until(lambda: replay.boards.whole, "the end of the recording")
    assert replay.now_s == replay.boards.end_s
    assert replay.view().summary is not None


def test_a_replay_can_be_left_before_it_was_followed() -> None:
    never_begun, begun = (Replay(GOOD, Session(), 10.0) for _ in range(2))
    never_begun.end()
    begun.start()
    begun.end()
    assert not never_begun.boards.whole


def test_it_steps_from_reading_to_reading_and_pauses_for_it(replay: Replay) -> None:
    """This one was read twice a second."""
    replay.toggle()
    replay.playhead.jump(100.2)
    replay.step(1)
    assert not replay.playhead.playing
    assert replay.now_s == 100.5
    replay.step(1)
    assert replay.now_s == 101.0
    assert replay.view().time_s[-1] == 101.0
    replay.step(-1)
    replay.step(-1)
    assert replay.now_s == 100.0


def test_steps_end_at_both_ends(replay: Replay) -> None:
    replay.step(-1)
    assert replay.now_s == replay.boards.begin_s
    replay.playhead.jump(replay.boards.end_s)
    replay.step(1)
    assert replay.now_s == replay.boards.end_s


def test_it_goes_from_mark_to_mark_and_on_to_the_ends(replay: Replay) -> None:
    passed = []
    for _ in range(len(replay.marks) + 1):
        replay.to_next_mark()
        passed.append(replay.now_s)
    assert MarkName.FIRST_CRACK in replay.marks
    assert passed == [*sorted(replay.marks.values()), replay.boards.end_s]
    back = []
    for _ in passed:
        replay.to_mark_before()
        back.append(replay.now_s)
    assert back == [*reversed(passed[:-1]), replay.boards.begin_s]


def test_while_it_plays_the_way_back_leads_past_the_mark_one_has_just_left(replay: Replay) -> None:
    charge_s, turned_s = replay.marks[MarkName.CHARGE], replay.marks[MarkName.TURNING_POINT]
    replay.toggle()
    replay.playhead.jump(turned_s + 1.0)
    replay.to_mark_before()
    assert charge_s <= replay.playhead.position_s < turned_s


def test_it_shifts_by_seconds_of_the_roast(replay: Replay) -> None:
    replay.shift(60.0)
    replay.shift(-10.0)
    assert replay.now_s == replay.boards.begin_s + 50.0


def kept(home: Path, folder: str, name: str, title: str) -> Path:
    """The house reference under another title in a folder of ours."""
    place = home / folder
    place.mkdir(exist_ok=True)
    text = (FIXTURES / "house-espresso-v3.csv").read_text()
    path = place / f"{name}.csv"
    path.write_text(re.sub("# title: .*", f"# title: {title}", text))
    return path


@pytest.mark.parametrize("folder", ["references", "recordings"])
def test_a_recording_is_replayed_against_what_it_was_held_against(
    folder: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    title = read_roast_file(GOOD).header["reference"]
    kept(tmp_path, folder, file_stem(title), title)
    replay = replayed_roast(GOOD)
    assert replay.reference is not None
    assert replay.reference.title == title


def test_a_file_of_that_name_that_is_another_or_none_is_passed_over(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path))
    title = read_roast_file(GOOD).header["reference"]
    assert replayed_roast(GOOD).reference is None
    path = kept(tmp_path, "references", file_stem(title), "Something else v1")
    assert replayed_roast(GOOD).reference is None
    path.write_text("no roast file")
    assert replayed_roast(GOOD).reference is None
