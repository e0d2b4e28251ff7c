"""The keys for marks, pressed on a roast under way."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from roastside.app.mark_keys import MarkKeys
from roastside.app.passing import SAID_FOR_S
from roastside.core.readings import Mark, Reading
from roastside.core.session import Session
from roastside.live.roast import LiveRoast
from tests.live.sources import HandFedSource, wait_until


class Keys:
    """Keys on a hand-fed roast, at a time that the test sets."""

    def __init__(self) -> None:
        self.source = HandFedSource()
        self.roast = LiveRoast(self.source, Session(), None)
        self.now_s = 1000.0
        self.keys = MarkKeys(self.roast, lambda: self.now_s)
        self.roast.open()
        self.roast.start()
        self.source.put(Reading(1.0, 180.0), Reading(2.0, 180.0))

    def charge(self) -> None:
        self.source.put(Mark(1.0, "charge"))
        self.wait_for("charge")

    def wait_for(self, name: str) -> None:
        wait_until(lambda: name in self.marks, name)

    @property
    def marks(self) -> dict[str, float]:
        return dict(self.roast.board.view().marks)


@pytest.fixture
def pressed() -> Iterator[Keys]:
    made = Keys()
    yield made
    made.roast.end()


def test_before_charge_only_charge_is_marked(pressed: Keys) -> None:
    assert pressed.keys.mark("first_crack") == "No charge yet: press c when the beans are in."
    assert pressed.keys.mark("charge") == ""
    pressed.wait_for("charge")
    assert set(pressed.marks) == {"charge"}


def test_a_mark_that_stands_is_moved_by_a_second_press_soon_after(pressed: Keys) -> None:
    pressed.charge()
    pressed.source.put(Mark(62.0, "yellowing"))
    pressed.wait_for("yellowing")
    told = "Yellowing stands at 1:01: press again to move it here."
    assert pressed.keys.mark("yellowing") == told
    pressed.now_s += SAID_FOR_S
    assert pressed.keys.mark("yellowing") == told, "the first press is forgotten by now"
    pressed.now_s += SAID_FOR_S / 2.0
    pressed.source.put(Reading(70.0, 150.0))
    wait_until(lambda: pressed.source.now_s() == 70.0, "a later moment")
    assert pressed.keys.mark("yellowing") == ""
    wait_until(lambda: pressed.marks["yellowing"] == 70.0, "the move")


def test_a_press_of_another_key_in_between_asks_anew(pressed: Keys) -> None:
    pressed.charge()
    pressed.source.put(Mark(62.0, "yellowing"))
    pressed.wait_for("yellowing")
    assert "press again" in pressed.keys.mark("yellowing")
    assert "press again" in pressed.keys.mark("charge")
    assert "press again" in pressed.keys.mark("yellowing")


def test_where_there_is_no_mark_the_keys_say_so(pressed: Keys) -> None:
    assert pressed.keys.undo() == "There is no mark to take back."
    assert pressed.keys.step_back() == "There is no mark to move."
    pressed.keys.mark("charge")
    pressed.wait_for("charge")
    assert pressed.keys.step_back() == ""
    assert pressed.keys.undo() == ""


def test_what_beans_do_cannot_be_marked_once_they_are_out(pressed: Keys) -> None:
    pressed.charge()
    pressed.source.put(Mark(113.0, "drop"))
    pressed.wait_for("drop")
    told = "The beans are out since 1:52; if they are not, take that back first (u)."
    assert pressed.keys.mark("first_crack") == told
    assert pressed.keys.undo() == ""
    wait_until(lambda: "drop" not in pressed.marks, "the drop taken back")
    assert pressed.keys.mark("first_crack") == ""
