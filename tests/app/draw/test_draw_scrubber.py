from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from roastside.app.draw.area import VerticalMark
from roastside.app.draw.scrubber import ScrubberData, draw_scrubber, time_at

MARKS = [
    VerticalMark(0.0, "charge"),
    VerticalMark(50.0, "turn"),
    VerticalMark(270.0, "yellow"),
    VerticalMark(560.0, "crack"),
    VerticalMark(672.0, "drop"),
]
HALF_WAY = ScrubberData((-60.0, 740.0), 340.0, 740.0, MARKS, playing=True, speed=10.0)


def rows(data: ScrubberData, width: int = 100) -> list[str]:
    return draw_scrubber(data, width, 2).text()


def test_state_speed_and_time_stand_beside_the_bar() -> None:
    bar, _ = rows(HALF_WAY)
    assert bar.startswith("playing ×10 ")
    assert bar.endswith("  5:40 of 12:20")
    assert rows(replace(HALF_WAY, playing=False, speed=0.5))[0].startswith("paused  ×0.5 ")


def test_what_is_passed_looks_other_than_what_is_to_come_or_was_not_read_yet() -> None:
    bar = rows(replace(HALF_WAY, marks=(), read_to_s=540.0))[0]
    passed, to_come, not_read = bar.count("━"), bar.count("─"), bar.count("┄")
    assert passed == pytest.approx(to_come + not_read, abs=1)
    assert to_come == pytest.approx(not_read, abs=1)
    assert "━" * passed + "●" + "─" * to_come + "┄" * not_read in bar


@pytest.mark.parametrize("at_s", [-60.0, 0.0, 340.0, 700.0, 740.0])
def test_the_bar_keeps_its_place_as_one_moves_along_it(at_s: float) -> None:
    """The first cell of it is the beginning, the last the end."""
    bar, names = rows(replace(HALF_WAY, at_s=at_s))
    assert len(bar) == len(names) == 100
    assert names == rows(HALF_WAY)[1]
    here = bar.index("●")
    first, last = (rows(replace(HALF_WAY, at_s=s))[0].index("●") for s in HALF_WAY.x_range)
    assert first <= here <= last
    assert here == pytest.approx(first + (at_s + 60.0) / 800.0 * (last - first), abs=1.0)


def test_each_mark_is_a_tick_with_its_name_below() -> None:
    bar, names = rows(HALF_WAY, 120)
    for mark in MARKS:
        if mark.label != "turn":
            assert bar[names.index(mark.label)] == "┼"
    assert bar.count("┼") == len(MARKS)


def test_a_late_mark_has_room_for_its_name_beside_the_bar() -> None:
    late = replace(HALF_WAY, marks=[VerticalMark(735.0, "second crack")])
    bar, names = rows(late)
    assert bar[names.index("second crack")] == "┼"


@pytest.mark.parametrize("width", [30, 80, 160])
def test_a_click_goes_where_the_bar_shows_it(width: int) -> None:
    for at_s in range(-60, 740, 50):
        data = replace(HALF_WAY, at_s=float(at_s), marks=())
        bar = rows(data, width)[0]
        per_cell_s = 800.0 / (bar.count("━") + bar.count("─"))
        assert time_at(data, width, bar.index("●")) == pytest.approx(at_s, abs=per_cell_s)


@pytest.mark.parametrize("width", [30, 80, 160])
def test_a_click_beside_the_bar_is_one_on_its_end(width: int) -> None:
    assert time_at(HALF_WAY, width, -1) == -60.0
    assert time_at(HALF_WAY, width, 0) == -60.0
    assert time_at(HALF_WAY, width, width - 1) == 740.0


def test_where_it_is_narrow_the_bar_has_it_all() -> None:
    bar = rows(HALF_WAY, 40)[0]
    assert set(bar) <= set("━─┼●")


EMPTY = ScrubberData((0.0, 0.0))


@pytest.mark.parametrize(("width", "height"), list(product((0, 1, 2, 5, 50, 300), (0, 1, 2, 3))))
@pytest.mark.parametrize("data", [HALF_WAY, EMPTY], ids=["half way", "empty"])
def test_it_can_be_drawn_at_any_size(data: ScrubberData, width: int, height: int) -> None:
    cells = draw_scrubber(data, width, height)
    assert (cells.width, cells.height) == (width, height)
    if width > 1 and height:
        assert "●" in cells.text()[0]
