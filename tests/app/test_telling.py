"""The words of the Roast screen."""

from __future__ import annotations

from dataclasses import replace

import pytest

from roastside.app.telling import Control, control_words, log_text, verdict
from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.core.readings import Mark, MarkName, Reading
from roastside.core.session import Session
from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.live.board import Board
from tests.app.views import moment


def board_with(*alerts: Alert) -> Board:
    board = Board()
    board(alerts)
    return board


def alert(name: str, priority: Priority, message: str) -> Alert:
    return Alert(10.0, None, name, Family.PROBE, priority, AlertState.RAISED, message)


def lines(board: Board, hint: str = "", rows: int = 4, width: int = 60) -> list[str]:
    return log_text(board.view(), hint, rows, width).plain.split("\n")


def test_the_gravest_standing_alert_stays_on_top_in_todays_words() -> None:
    board = board_with(alert("a", Priority.LOW, "mild"), alert("b", Priority.HIGH, "2 seconds"))
    board.restate([alert("b", Priority.HIGH, "9 seconds")])
    for n in range(9):
        board.note(20.0 + n, f"line {n}", "mark")
    shown = lines(board)
    assert shown[0] == "   now !! 9 seconds"
    assert [line.split()[-1] for line in shown[1:]] == ["6", "7", "8"]


def test_a_hint_stands_above_all() -> None:
    assert "You hear" not in "".join(lines(board_with()))
    view = moment(600.0).view
    shown = log_text(view, "You hear the beans crack. Press f.", 3, 60).plain.split("\n")
    assert "Press f." in shown[0]
    assert len(shown) <= 3


def test_a_line_too_long_for_the_log_is_cut_and_not_left_out() -> None:
    board = board_with()
    board.note(1.0, "a very long note " * 20, "mark")
    shown = lines(board, rows=2, width=40)
    assert len(shown) == 2
    assert "a very long note" in shown[0]


@pytest.mark.parametrize("rows", [0, 1, 2, 5])
@pytest.mark.parametrize("width", [0, 1, 20, 200])
def test_the_log_never_takes_more_rows_than_it_has(rows: int, width: int) -> None:
    board = board_with(alert("a", Priority.CRITICAL, "cut the heat " * 9))
    board.note(1.0, "note", "mark")
    text = log_text(board.view(), "hint", rows, width).plain
    assert (text.count("\n") + 1 if text else 0) <= max(rows, 0)


def test_the_verdict_tells_the_roast_in_a_sentence_in_the_degrees_asked_for() -> None:
    whole = moment(720.0, over=True)
    said = verdict(whole, CELSIUS)
    assert said.startswith("11:12 from charge to drop, drying 4:")
    assert "°C from the reference" in said
    assert "°F from the reference" in verdict(whole, FAHRENHEIT)


def test_the_verdict_of_nothing_says_so() -> None:
    assert verdict(moment(-1.0, over=True), CELSIUS) == "Over: not one reading came."
    assert verdict(moment(10.0, over=True), CELSIUS).startswith("Over without a charge")
    assert verdict(moment(10.0), CELSIUS) == ""


def test_a_roast_that_ends_at_its_charge_is_not_said_to_have_none() -> None:
    board = Board()
    session = Session()
    for reading in (Reading(0.0, 200.0), Reading(0.5, 200.0)):
        board(session.feed(reading))
    board(session.feed(Mark(0.6, MarkName.CHARGE)))
    board([session.finish()])
    told = verdict(replace(moment(10.0), view=board.view()), CELSIUS)
    assert told == "Over as soon as it was charged, after 2 readings."


@pytest.mark.parametrize(
    ("text", "control"),
    [
        ("heat 70", Control("70", "heat %")),
        ("70 heat", Control("70", "heat %")),
        ("heat 70 %", Control("70", "heat %")),
        ("drum speed 52,5", Control("52.5", "drum speed %")),
        ("heat", None),
        ("70", None),
        ("heat 70 80", None),
        ("", None),
        ("heat nan", None),
        ("heat 1e9", None),
    ],
)
def test_a_control_is_a_name_and_one_number(text: str, control: Control | None) -> None:
    assert control_words(text) == control


def test_lines_of_one_topic_bear_one_time() -> None:
    board = board_with()
    board.note(610.0, "drop", "mark")
    board.tell("afterwards", 615.0, ["Against v3:", "Browning 44 s longer."])
    board.tell("other", 615.0, ["Something else."])
    shown = lines(board)
    assert [line.split()[0] for line in shown] == ["10:10", "10:15", "Browning", "10:15"]
    assert len({line.index(word) for line, word in zip(shown[1:3], ("Ag", "Br"), strict=True)}) == 1


def test_a_line_that_is_cut_says_so() -> None:
    board = board_with()
    board.note(1.0, "word " * 60)
    shown = lines(board, rows=2, width=40)
    assert len(shown) == 2
    assert shown[-1].endswith(" …")
    assert max(len(line) for line in shown) <= 40
    board.note(2.0, "short")
    assert lines(board, rows=2, width=40)[-1].endswith("short")


def test_once_it_is_over_nothing_is_told_as_of_now() -> None:
    board = board_with(alert("a", Priority.CRITICAL, "cut the heat"))
    assert "now !! cut the heat" in "".join(lines(board))
    board([Session().finish()])
    assert "now" not in "".join(lines(board))
