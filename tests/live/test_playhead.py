"""The playhead of a replay, on a clock of the test's own."""

from __future__ import annotations

import pytest

from roastside.live.playhead import SPEEDS, Playhead

BEGIN_S, END_S = 12.5, 700.0


class WallTime:
    """A wall clock that moves when it is told to."""

    def __init__(self) -> None:
        self.s = 5000.0

    def monotonic(self) -> float:
        return self.s


@pytest.fixture
def wall() -> WallTime:
    return WallTime()


def playing(wall: WallTime, speed: float = 10.0) -> Playhead:
    head = Playhead(BEGIN_S, END_S, speed, wall.monotonic)
    head.play()
    return head


def test_it_stands_at_the_beginning_until_it_plays(wall: WallTime) -> None:
    head = Playhead(BEGIN_S, END_S, 10.0, wall.monotonic)
    wall.s += 8.0
    assert (head.position_s, head.playing) == (BEGIN_S, False)


def test_it_moves_at_its_speed_and_stands_still_while_it_pauses(wall: WallTime) -> None:
    head = playing(wall)
    wall.s += 3.0
    assert head.position_s == BEGIN_S + 30.0
    head.pause()
    wall.s += 3.0
    assert (head.position_s, head.playing) == (BEGIN_S + 30.0, False)
    head.play()
    wall.s += 1.0
    assert head.position_s == BEGIN_S + 40.0


def test_it_stops_at_the_end_and_from_there_begins_anew(wall: WallTime) -> None:
    head = playing(wall)
    wall.s += 100.0
    assert (head.position_s, head.playing) == (END_S, False)
    head.play()
    wall.s += 1.0
    assert (head.position_s, head.playing) == (BEGIN_S + 10.0, True)


def test_a_jump_goes_on_playing_or_not_as_before_and_never_past_the_ends(wall: WallTime) -> None:
    head = playing(wall)
    head.jump(300.0)
    wall.s += 2.0
    assert head.position_s == 320.0
    head.jump(-50.0)
    assert head.position_s == BEGIN_S
    head.pause()
    head.jump(9999.0)
    wall.s += 2.0
    assert (head.position_s, head.playing) == (END_S, False)


def test_a_jump_back_after_the_end_was_reached_stands_still(wall: WallTime) -> None:
    head = playing(wall)
    wall.s += 100.0
    head.jump(400.0)
    wall.s += 5.0
    assert (head.position_s, head.playing) == (400.0, False)


def test_a_change_of_speed_goes_on_from_where_it_is(wall: WallTime) -> None:
    head = playing(wall)
    wall.s += 2.0
    head.faster()
    wall.s += 1.0
    assert head.position_s == BEGIN_S + 20.0 + 30.0
    head.slower()
    head.slower()
    wall.s += 1.0
    assert head.position_s == BEGIN_S + 50.0 + 5.0


def test_speeds_go_from_one_to_the_next_and_end_at_both_ends(wall: WallTime) -> None:
    head = playing(wall, SPEEDS[0])
    passed = []
    for _ in SPEEDS:
        passed.append(head.speed)
        head.faster()
    assert tuple(passed) == SPEEDS
    assert head.speed == SPEEDS[-1]
    for _ in SPEEDS:
        head.slower()
    assert head.speed == SPEEDS[0]


@pytest.mark.parametrize(("given", "faster", "slower"), [(7.0, 10.0, 5.0), (4000.0, 4000.0, 60.0)])
def test_a_speed_of_ones_own_has_neighbours_too(
    given: float, faster: float, slower: float, wall: WallTime
) -> None:
    head = playing(wall, given)
    head.faster()
    assert head.speed == faster
    head = playing(wall, given)
    head.slower()
    assert head.speed == slower
