from __future__ import annotations

import numpy as np
import pytest

from roastside.app.draw.cells import (
    Cells,
    cell_width,
    ink_and_ground,
    shortened,
    shortened_within,
    text_width,
)
from roastside.app.draw.inks import Ground, Ink


def test_text_is_cut_at_the_edges_and_nowhere_else() -> None:
    cells = Cells(5, 2)
    assert cells.write(0, 3, "abc") == 6
    cells.write(5, 0, "below")
    cells.write(1, -2, "xyz")
    assert cells.text() == ["   ab", "z    "]


def test_a_run_ends_where_ink_or_ground_changes() -> None:
    cells = Cells(6, 1)
    cells.write(0, 0, "ab", Ink.BEAN)
    cells.write(0, 2, "cd", Ink.RATE)
    cells.ground[0, 3:] = Ground.CORRIDOR
    [line] = cells.runs([0])
    assert [(text, *ink_and_ground(look)) for text, look in line] == [
        ("ab", Ink.BEAN, Ground.PAPER),
        ("c", Ink.RATE, Ground.PAPER),
        ("d  ", Ink.RATE, Ground.CORRIDOR),
    ]


def test_wide_characters_take_two_cells_and_the_line_keeps_its_width() -> None:
    # East Asian Width W, Unicode Standard Annex 11
    cells = Cells(6, 1)
    assert cells.write(0, 1, "豆a") == 4
    assert cells.text() == [" 豆a  "]
    assert text_width(cells.text()[0]) == 6


def test_a_wide_character_is_not_cut_in_half() -> None:
    cells = Cells(3, 1)
    cells.write(0, 2, "豆")
    assert cells.text() == ["   "]


@pytest.mark.parametrize(
    ("character", "width"),
    [("a", 1), ("°", 1), ("豆", 2), ("\u0301", 0), ("\x1b", 0), ("\u202e", 0)],
)
def test_width_of_a_character(character: str, width: int) -> None:
    assert cell_width(character) == width


def test_escape_characters_never_reach_the_grid() -> None:
    cells = Cells(8, 1)
    cells.write(0, 0, "a\x1b[31mb")
    assert "\x1b" not in cells.text()[0]


def test_long_text_ends_in_an_ellipsis() -> None:
    assert shortened("No reference", 12) == "No reference"
    assert shortened("No reference", 5) == "No r…"
    assert shortened("豆豆豆", 4) == "豆…"
    assert shortened("abc", 0) == ""


def test_only_rows_that_look_different_are_reported() -> None:
    former, later = Cells(4, 5), Cells(4, 5)
    later.write(1, 0, "x")
    later.ground[3, 2] = Ground.CORRIDOR
    assert later.changed_rows(former) == [1, 3]
    assert later.changed_rows(None) == [0, 1, 2, 3, 4]
    assert later.changed_rows(Cells(5, 5)) == [0, 1, 2, 3, 4]


def test_a_change_of_ink_alone_is_a_change() -> None:
    former, later = Cells(4, 1), Cells(4, 1)
    former.write(0, 0, "x", Ink.BEAN)
    later.write(0, 0, "x", Ink.BAD)
    assert later.changed_rows(former) == [0]


def test_dots_leave_what_they_do_not_cover() -> None:
    cells = Cells(3, 1)
    cells.write(0, 0, "abc")
    masks = np.array([[0, 0x01, 0]], dtype=np.uint8)
    cells.dots(0, 0, masks, np.full((1, 3), Ink.BEAN, dtype=np.uint8))
    assert cells.text() == ["a\u2801c"]


@pytest.mark.parametrize(("width", "height"), [(0, 0), (0, 3), (3, 0), (1, 1)])
def test_grids_of_any_size_have_text(width: int, height: int) -> None:
    cells = Cells(width, height)
    cells.write(0, 0, "")
    assert cells.text() == [" " * width] * height


def test_a_title_too_wide_keeps_its_beginning_and_its_end() -> None:
    assert shortened_within("House espresso, batch 12", 24) == "House espresso, batch 12"
    assert shortened_within("House espresso, batch 12", 18) == "House esp…batch 12"
    assert shortened_within("豆豆豆豆, batch 12", 13) == "豆豆豆…tch 12"
    assert shortened_within("abc", 1) == "…"
    assert shortened_within("abc", 0) == ""


def test_a_shortened_title_is_never_wider_than_its_place() -> None:
    for title in ("House espresso, batch 12", "豆豆豆豆豆豆豆豆 12", "a豆b豆c豆d豆e豆"):
        for width in range(30):
            assert text_width(shortened_within(title, width)) <= width
