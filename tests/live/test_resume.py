"""A roast that was cut short is gone on with: the same recording, its clock right."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import pytest

from roastside.core.errors import StoreError
from roastside.core.events import Alert, Event, Gap, Sample
from roastside.core.plan import Align, RoastPlan
from roastside.core.readings import MarkName, Reading
from roastside.core.session import Session
from roastside.live.home import recordings
from roastside.live.line import Line
from roastside.live.resume import Interrupted, clock_now_s, interrupted, leave, resumed_roast
from roastside.live.roast import LiveRoast
from roastside.live.under_way import UnderWay, note_under_way, noted_under_way
from roastside.probes.replay import in_time
from roastside.probes.source import RoastClock
from roastside.probes.virtual_line import VirtualLine, virtual_line
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from tests.live.sources import HandFedSource, wait_until

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
HOUSE = FIXTURES / "house-espresso-v3.csv"
CUT_AT_S = 300.0


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("ROASTSIDE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


def cut_short(torn: bytes = b"401.00,17") -> Path:
    """The house roast, recorded up to CUT_AT_S and torn there."""
    found = read_roast_file(HOUSE)
    path = recordings() / "cut.csv"
    recorder = Recorder(path, {"title": "House espresso, cut short"})
    recorder.open()
    for item in found.items():
        if item.time_s <= CUT_AT_S and not str(getattr(item, "note", "")).endswith("=1281"):
            recorder.append(item)  # type: ignore[arg-type]
    recorder.close()
    with path.open("ab") as file:
        file.write(torn)
    return path


def noted(path: Path, ago_s: float, port: str = "socket://127.0.0.1:9", **plan: float) -> UnderWay:
    """A note of it, as if the program had been cut off `ago_s` seconds ago."""
    clock = HandFedSource()
    clock._now_s = CUT_AT_S + ago_s
    note_under_way(path, clock, [Line(port, 9600, "lines")], str(HOUSE), RoastPlan(**plan))  # type: ignore[arg-type]
    cut_unix_s = time.time() - ago_s
    os.utime(path, (cut_unix_s, cut_unix_s))
    return noted_under_way()[0][0]


def cut(path: Path, ago_s: float = 40.0, **more: object) -> Interrupted:
    noted(path, ago_s, **more)  # type: ignore[arg-type]
    found = interrupted()
    assert found is not None
    return found


def test_a_roast_that_was_cut_off_is_found_with_its_clock_gone_on() -> None:
    found = cut(cut_short())
    assert found.file.title == "House espresso, cut short"
    assert found.charge_s == pytest.approx(read_roast_file(HOUSE).charge_s)
    assert found.last_s == pytest.approx(CUT_AT_S, abs=1.0)
    assert found.now_s is not None
    assert CUT_AT_S + 40.0 <= found.now_s < CUT_AT_S + 60.0
    assert found.last_bean_c is not None and 100.0 < found.last_bean_c < 230.0


def test_a_note_is_taken_away_at_the_end_and_then_nothing_is_offered() -> None:
    source = HandFedSource()
    forget = note_under_way(cut_short(), source, [], "", RoastPlan())
    assert len(noted_under_way()) == 1
    forget()
    assert noted_under_way() == [] and interrupted() is None


def test_a_note_keeps_what_this_roast_was_to_be() -> None:
    plan = RoastPlan(development_ratio=0.2, tolerance_c=1.5, align=Align.TURNING_POINT)
    note_under_way(cut_short(), HandFedSource(), [Line("COM3", 19200, "lines")], "", plan)
    [(note, _)] = noted_under_way()
    assert note.lines == (Line("COM3", 19200, "lines"),)
    assert note.plan(RoastPlan(silent_after_s=5.0)) == RoastPlan(
        development_ratio=0.2, tolerance_c=1.5, align=Align.TURNING_POINT, silent_after_s=5.0
    )


@pytest.mark.parametrize(
    "tail",
    [
        "300.00,,,drop,,\n",  # it was dropped: nothing is in the roaster
        "300.00,,,undo charge,,\n",  # no beans are in it
    ],
)
def test_a_roast_without_beans_in_the_roaster_is_not_offered(tail: str) -> None:
    path = cut_short(tail.encode())
    noted(path, 40.0)
    assert interrupted() is None
    assert noted_under_way() == []
    assert path.exists()


def test_a_roast_of_this_morning_is_not_offered_in_the_afternoon() -> None:
    noted(cut_short(), 4 * 3600.0)
    assert interrupted() is None


def test_with_the_machines_clock_set_back_it_is_offered_without_the_time_that_passed() -> None:
    path = cut_short()
    noted(path, 40.0)
    ahead = time.time() + 1800.0
    os.utime(path, (ahead, ahead))
    found = interrupted()
    assert found is not None and found.now_s is None
    assert len(noted_under_way()) == 1
    line = virtual_line()
    object.__setattr__(found.note, "lines", (Line(line.port, 9600, "lines"),))
    roast = resumed_roast(found)
    assert found.last_s <= roast.source.now_s() < found.last_s + 20.0
    roast.end()
    line.unplug()


def test_a_roast_that_was_left_is_not_offered_again() -> None:
    path = cut_short()
    leave(cut(path))
    assert interrupted() is None and path.exists()


def test_two_recordings_of_one_name_have_a_note_each(tmp_path: Path) -> None:
    for folder in ("a", "b"):
        note_under_way(tmp_path / folder / "x.csv", HandFedSource(), [], "", RoastPlan())
    assert len(noted_under_way()) == 2


def test_a_recording_that_is_gone_or_spoiled_is_not_offered(home: Path) -> None:
    path = cut_short()
    noted(path, 40.0)
    path.write_bytes(b"\0\1")
    (home / "under way" / "broken.json").write_text("{")
    (home / "under way" / "strange.json").write_text(json.dumps({"lines": [], "else": 1}))
    assert interrupted() is None
    noted(cut_short_again(path), 40.0)
    path.unlink()
    assert interrupted() is None


def cut_short_again(path: Path) -> Path:
    path.unlink()
    return cut_short()


def test_a_roast_that_another_roastside_records_is_let_be() -> None:
    path = cut_short(b"")
    noted(path, 40.0)
    other = Recorder(path.with_name("other.csv"), {})
    other.open()
    path.with_name("other.csv").replace(path)
    assert interrupted() is None
    assert len(noted_under_way()) == 1
    other.close()


@pytest.mark.parametrize(
    ("began", "last", "written", "now", "shown"),
    [
        (1000.0, 300.0, 1300.4, 1340.0, 340.0),  # all clocks agree: since it began
        (9000.0, 300.0, 1300.4, 1340.4, 340.0),  # set while roasting: since the last row
        (1000.0, 300.0, 1300.4, 1300.5, 300.5),
        (1000.5, 300.0, 1300.4, 1300.4, 300.0),  # never before the last row
        (1000.0, 300.0, 1300.4, 1299.0, None),  # set back since: not known
    ],
)
def test_the_clock_goes_on_whatever_the_machines_clock_did(
    began: float, last: float, written: float, now: float, shown: float | None
) -> None:
    assert clock_now_s(began, last, written, now) == shown


def test_going_on_appends_to_the_same_recording_and_tells_the_fold_all_that_was() -> None:
    path = cut_short()
    before = path.read_bytes()
    line: VirtualLine = virtual_line()
    roast = resumed_roast(cut(path, port=line.port))
    later: list[Event] = []
    roast.listen(later.extend)
    roast.start()
    try:
        for n in range(400):
            line.write(f"{170.0 + n % 2 * 0.25},220.0\n".encode())
            time.sleep(0.01)
            if sum(isinstance(event, Sample) for event in later) >= 5:
                break
        wait_until(lambda: len([e for e in later if isinstance(e, Sample)]) >= 5, "readings")
    finally:
        roast.end()
        line.unplug()
    assert path.read_bytes().startswith(before)
    gone_on = read_roast_file(path)
    assert gone_on.skipped == 1  # the torn line
    view = roast.board.view()
    assert set(view.marks) >= {MarkName.CHARGE, MarkName.TURNING_POINT, MarkName.YELLOWING}
    new = [row for row in gone_on.rows if row.time_s > CUT_AT_S + 1.0]
    assert len([row for row in new if row.bean_c is not None]) >= 5
    assert all(CUT_AT_S + 40.0 <= row.time_s < CUT_AT_S + 80.0 for row in new)
    assert any("roastside was not running" in row.note for row in gone_on.rows)
    # Who came to listen later heard nothing of what was over, but of the time without readings.
    assert all(event.time_s > CUT_AT_S - 1.0 for event in later)
    assert any(isinstance(event, Gap) for event in later)
    assert noted_under_way() == []
    # A replay of the whole tells what the board shows.
    session = Session(roast.plan, roast.reference)
    for item in in_time(gone_on.items()):
        session.feed(item)
    assert session.finish().marks == pytest.approx(roast.board.view().summary.marks)  # type: ignore[union-attr]


def test_an_alert_that_still_stands_is_told_again_and_no_other() -> None:
    items = [
        item
        for item in in_time(read_roast_file(FIXTURES / "house-too-hot.csv").items())
        if item.time_s < 634.0 and getattr(item, "mark", "") != "drop"
    ]
    session, raised = Session(RoastPlan(over_temperature_c=205.0)), set()
    for item in items:
        events = session.feed(item)
        raised |= {e.alert for e in events if isinstance(e, Alert) and e.state == "raised"}
    standing = {alert.alert for alert in session.standing()}
    assert "over_temperature" in standing and raised - standing
    source, later = HandFedSource(), list[Event]()
    source.end_when_empty()
    roast = LiveRoast(source, Session(RoastPlan(over_temperature_c=205.0)), recalled=items)
    roast.listen(later.extend)
    roast.open()
    roast.start()
    wait_until(lambda: roast.over, "the end")
    roast.end()
    told = [event for event in later if isinstance(event, Alert)]
    assert {alert.alert for alert in told} == standing
    assert not any(isinstance(event, Sample) for event in later)
    assert len(roast.board.view().time_s) == sum(isinstance(item, Reading) for item in items)


def test_a_recording_of_another_make_is_not_gone_on_with() -> None:
    path = recordings() / "table.csv"
    path.write_text("bean_c,time_s,mark\n200,0,\n190,1,charge\n180,2,\n")
    found = cut_any(path)
    with pytest.raises(Exception, match="was not recorded by roastside"):
        resumed_roast(found)
    assert path.read_text().endswith("180,2,\n")


def cut_any(path: Path) -> Interrupted:
    clock = HandFedSource()
    clock._now_s = 3.0
    note_under_way(path, clock, [Line("socket://127.0.0.1:9", 9600, "lines")], "", RoastPlan())
    found = interrupted()
    assert found is not None
    return found


def test_a_clock_can_go_on_from_where_it_stood() -> None:
    assert 500.0 <= RoastClock(already_s=500.0).now_s() < 530.0
    assert 500.0 <= RoastClock(speed=10.0, already_s=500.0).now_s() < 800.0


def test_a_full_disk_says_so_and_leaves_the_recording_as_it_was(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    path = cut_short()
    before = path.read_bytes()
    found = cut(path)

    def full(fd: int, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("roastside.record.disk.write_all", full)
    line = virtual_line()
    object.__setattr__(found.note, "lines", (Line(line.port, 9600, "lines"),))
    with pytest.raises(StoreError, match="No space left on device"):
        resumed_roast(found)
    line.unplug()
    assert path.read_bytes() == before
