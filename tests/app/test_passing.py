"""Words in passing, and how far frames are kept apart."""

from __future__ import annotations

import pytest

from roastside.app.pace import FRAME_S, Pace
from roastside.app.passing import SAID_FOR_S, Passing


class Clock:
    """Seconds that a test sets."""

    now_s = 1000.0

    def __call__(self) -> float:
        return self.now_s


def test_words_stand_for_a_while_and_newer_ones_take_their_place() -> None:
    said = Passing(clock := Clock())
    assert said.words == ""
    said.say("one")
    clock.now_s += SAID_FOR_S - 1.0
    assert said.words == "one"
    said.say("two")
    clock.now_s += SAID_FOR_S - 1.0
    assert said.words == "two"
    clock.now_s += 1.0
    assert said.words == ""


def test_the_first_frame_is_drawn_at_once_and_the_next_in_its_time() -> None:
    pace = Pace(clock := Clock())
    wait_s = pace.wait_s()
    assert wait_s is not None and wait_s <= 0.0
    pace.drawn()
    clock.now_s += FRAME_S / 4.0
    assert pace.wait_s() == pytest.approx(0.75 * FRAME_S)


def test_a_frame_on_its_way_is_asked_for_once() -> None:
    pace = Pace(clock := Clock())
    pace.drawn()
    assert pace.wait_s() is not None
    assert pace.wait_s() is None
    clock.now_s += FRAME_S
    assert pace.wait_s() is None, "until it is drawn"
    pace.drawn()
    assert pace.wait_s() == pytest.approx(FRAME_S)


def test_after_a_pause_the_next_frame_is_drawn_at_once() -> None:
    pace = Pace(clock := Clock())
    pace.drawn()
    clock.now_s += 10.0
    for _ in range(2):
        wait_s = pace.wait_s()
        assert wait_s is not None and wait_s <= 0.0
