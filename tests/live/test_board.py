"""The board: what a screen knows of a roast, kept from its events."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from roastside.core.events import (
    Alert,
    AlertState,
    Family,
    Forecast,
    Gap,
    Marked,
    Priority,
    Sample,
    Summary,
)
from roastside.core.readings import MarkSource, Stage
from roastside.live.board import Board


def sample(time_s: float, level_c: float | None = 150.0) -> Sample:
    return Sample(time_s, None, level_c, None, None, None, Stage.DRYING, level_c=level_c)


def mark(
    name: str,
    moment_s: float,
    source: MarkSource = MarkSource.HAND,
    value: str = "",
    note: str = "",
) -> Marked:
    return Marked(moment_s + 1.0, None, name, None, source, value, note, moment_s)


def alert(name: str, state: AlertState, family: Family = Family.PROBE) -> Alert:
    return Alert(7.0, None, name, family, Priority.HIGH, state, f"{name} it is")


def log_of(board: Board) -> list[str]:
    return [line.text for line in board.view().log]


def test_further_channels_have_columns_of_their_own_from_the_first_sample_on() -> None:
    board = Board()
    board([sample(0.0), replace(sample(1.0), extra={"exhaust_c": 180.0})])
    early = board.view()
    board([replace(sample(2.0), extra={"inlet_c": 20.0, "exhaust_c": 181.0})])
    board([sample(3.0 + n) for n in range(2000)])
    late = board.view()
    assert list(early.extras) == ["exhaust_c"]
    np.testing.assert_array_equal(early.extras["exhaust_c"], [np.nan, 180.0])
    np.testing.assert_array_equal(late.extras["exhaust_c"][:3], [np.nan, 180.0, 181.0])
    np.testing.assert_array_equal(late.extras["inlet_c"][:3], [np.nan, np.nan, 20.0])
    assert late.extras["inlet_c"].shape == late.time_s.shape
    assert np.isnan(late.extras["inlet_c"][3:]).all()


def test_samples_become_columns_and_unknown_values_nan() -> None:
    board = Board()
    behind = replace(sample(1.0, 151.0), deviation_c=-1.5, ahead_s=-4.0)
    board([sample(0.0), sample(0.5, None), behind])
    view = board.view()
    assert view.time_s.tolist() == [0.0, 0.5, 1.0]
    assert view.level_c[[0, 2]].tolist() == [150.0, 151.0]
    assert math.isnan(view.level_c[1])
    assert np.isnan(view.rate_c_per_min).all()
    assert view.deviation_c.tolist()[-1] == -1.5
    assert view.ahead_s.tolist()[-1] == -4.0
    assert view.last is not None
    assert view.last.time_s == 1.0


def test_a_view_stays_as_it_was_while_the_board_grows() -> None:
    board = Board()
    board([sample(float(k)) for k in range(1000)])
    before = board.view()
    for start in range(1000, 5000, 250):
        board([sample(float(k)) for k in range(start, start + 250)])
    assert before.time_s.tolist() == [float(k) for k in range(1000)]
    after = board.view()
    assert after.time_s.tolist() == [float(k) for k in range(5000)]
    assert {len(getattr(after, name)) for name in ("level_c", "air_c", "ahead_s")} == {5000}


def test_the_version_tells_whether_anything_happened() -> None:
    board = Board()
    first = board.view().version
    assert board.view().version == first
    board([sample(0.0)])
    second = board.view().version
    board.note(0.0, "bell switched on")
    assert len({first, second, board.view().version}) == 3
    assert log_of(board) == ["bell switched on"]


def test_marks_stand_where_they_were_placed_last_until_withdrawn() -> None:
    board = Board()
    assert board.view().charge_s is None
    board([mark("charge", 30.0, MarkSource.AUTO), mark("first_crack", 500.0)])
    assert board.view().marks == {"charge": 30.0, "first_crack": 500.0}
    assert board.view().charge_s == 30.0
    board([mark("first_crack", 495.0), mark("undo charge", 0.0)])
    assert board.view().marks == {"first_crack": 495.0}
    assert log_of(board) == [
        "charge (detected)",
        "first crack",
        "first crack moved",
        "charge withdrawn",
    ]


def test_a_mark_that_hardly_moves_moves_without_a_word() -> None:
    board = Board()
    board([mark("turning_point", 73.0, MarkSource.AUTO), mark("turning_point", 73.5)])
    assert board.view().marks == {"turning_point": 73.5}
    assert log_of(board) == ["turning point (detected)"]


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (mark("control", 1.0, value="70", note="heat %"), "heat 70 %"),
        (mark("control", 1.0, value="3", note="drum"), "drum 3"),
        (mark("control", 1.0, value="3"), "control 3"),
        (mark("comment", 1.0, note="smells of hay"), "smells of hay"),
        (mark("comment", 1.0), "comment"),
    ],
)
def test_controls_and_remarks_are_lines_of_the_log_only(made: Marked, words: str) -> None:
    board = Board()
    board([made])
    assert board.view().marks == {}
    assert log_of(board) == [words]


def test_alerts_stand_until_they_are_cleared() -> None:
    board = Board()
    board([alert("probe_silent", AlertState.RAISED), alert("over", AlertState.RAISED)])
    assert [each.alert for each in board.view().standing] == ["probe_silent", "over"]
    board([alert("over", AlertState.ACKNOWLEDGED)])
    assert [str(each.state) for each in board.view().standing] == ["raised", "acknowledged"]
    board([alert("over", AlertState.CLEARED), alert("probe_silent", AlertState.CLEARED)])
    assert board.view().standing == ()
    assert log_of(board) == [
        "probe_silent it is",
        "over it is",
        "over: over",
        "over: probe silent",
    ]
    assert board.view().log[0].tone == "high"


def test_the_end_of_a_matter_of_time_is_not_worth_a_line() -> None:
    board = Board()
    soon = [
        alert("soon", state, Family.TIMING) for state in (AlertState.RAISED, AlertState.CLEARED)
    ]
    board(soon)
    assert board.view().standing == ()
    assert log_of(board) == ["soon it is"]


def test_the_newest_forecast_of_each_milestone_is_kept() -> None:
    board = Board()
    first = Forecast(1.0, 1.0, "first_crack", 560.0, 540.0, 580.0)
    newer = Forecast(2.0, 2.0, "first_crack", 565.0, 550.0, 580.0)
    drop = Forecast(2.0, 2.0, "drop", 670.0, 650.0, 690.0)
    board([first, newer, drop])
    assert board.view().forecasts == {"first_crack": newer, "drop": drop}


def test_a_gap_is_told_with_its_length_and_reason() -> None:
    board = Board()
    board([Gap(50.0, None, 10.0, 50.0, "the line was lost")])
    assert log_of(board) == ["no readings for 40 s: the line was lost"]
    assert board.view().log[0].tone == "warn"


def test_the_log_keeps_the_newest_two_hundred_lines() -> None:
    board = Board()
    for count in range(250):
        board.note(float(count), f"line {count}")
    assert (len(board.view().log), log_of(board)[0]) == (200, "line 50")


def test_the_summary_is_there_once_the_roast_is_over() -> None:
    board = Board()
    assert board.view().summary is None
    summary = Summary(9.0, None, None, {}, {}, None, None, None)
    board([summary])
    assert board.view().summary is summary


def test_what_is_told_of_a_topic_takes_the_place_of_what_was_told_before() -> None:
    board = Board()
    board.tell("shape", 1.0, ["old", "older"])
    board.note(2.0, "between")
    board.note(4.0, "since")
    board.tell("shape", 3.0, ["new", "newer"])
    assert log_of(board) == ["between", "new", "newer", "since"]
    version = board.view().version
    board.tell("shape", 5.0, ["new", "newer"])
    assert (board.view().version, board.view().log[1].time_s) == (version, 3.0)
    board.tell("shape", 5.0, [])
    assert log_of(board) == ["between", "since"]


def test_readings_are_kept_as_they_came_beside_the_level() -> None:
    board = Board()
    board([replace(sample(0.0, 150.0), bean_c=150.25), replace(sample(0.5), bean_c=None)])
    view = board.view()
    np.testing.assert_array_equal(view.bean_c, [150.25, np.nan])
    assert view.level_c.tolist() == [150.0, 150.0]
