"""Dots and code points: The Unicode Standard, code chart U+2800-U+28FF (Braille Patterns)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.app.draw.raster import BRAILLE, DOT_BITS, Pattern, Trace, line_masks, merge

UNIT = (0.0, 1.0)


def trace(x: list[float], y: list[float], pattern: Pattern = Pattern.SOLID) -> Trace:
    return Trace(np.array(x, float), np.array(y, float), UNIT, pattern)


def glyphs(mask: np.ndarray) -> list[str]:
    return ["".join(chr(BRAILLE + int(bits)) for bits in row) for row in mask]


@pytest.mark.parametrize(
    ("column", "row", "character"),
    [
        # Code chart U+2800: each dot alone, DOTS-1 to DOTS-8.
        (0, 0, "\u2801"),
        (0, 1, "\u2802"),
        (0, 2, "\u2804"),
        (1, 0, "\u2808"),
        (1, 1, "\u2810"),
        (1, 2, "\u2820"),
        (0, 3, "\u2840"),
        (1, 3, "\u2880"),
    ],
)
def test_each_single_dot_has_its_code_point(column: int, row: int, character: str) -> None:
    one_point = trace([float(column)], [1 - row / 3])
    assert glyphs(line_masks([one_point], UNIT, 1, 1)[0]) == [character]


def test_all_eight_dots_are_the_last_code_point_of_the_block() -> None:
    assert BRAILLE + int(DOT_BITS.sum()) == 0x28FF


def test_a_level_line_in_the_middle_of_two_rows() -> None:
    # dots 3 and 6 (U+2824) are the third dot row
    level = trace([0, 1], [1 / 3, 1 / 3])
    assert glyphs(line_masks([level], UNIT, 3, 1)[0]) == ["\u2824\u2824\u2824"]


def test_a_rising_line_is_thin_and_unbroken() -> None:
    rising = trace([0, 1], [0, 1])
    dots = unpack(line_masks([rising], UNIT, 8, 4)[0])
    assert dots.sum() == 16
    assert [int(np.flatnonzero(column)[0]) for column in dots.T] == list(range(15, -1, -1))


def test_both_ends_of_the_y_range_are_in_sight() -> None:
    for y, row in ((1.0, 0), (0.0, 7)):
        dots = unpack(line_masks([trace([0, 1], [y, y])], UNIT, 4, 2)[0])
        assert dots[row].all()
        assert dots.sum() == 8


@pytest.mark.parametrize("at", [1, 700, 1234, 2398])
def test_a_spike_of_one_sample_among_thousands_is_drawn_in_full(at: int) -> None:
    y = np.full(2400, 0.1)
    y[at] = 1.0
    dots = unpack(line_masks([trace(list(np.linspace(0, 1, 2400)), list(y))], UNIT, 20, 10)[0])
    column = round(at / 2399 * 39)
    assert dots[:36, column].all()
    assert not dots[:35, :column].any()


def test_nan_breaks_the_line_and_a_lone_point_stays_a_dot() -> None:
    broken = trace([0, 0.2, 0.4, 0.6, 0.8, 1.0], [0.5, 0.5, np.nan, 0.5, np.nan, 0.5])
    dots = unpack(line_masks([broken], UNIT, 8, 1)[0]).any(axis=0)
    # columns 0-3 the first piece, near 9 and 15 lone points
    assert dots[:4].all()
    assert dots[9]
    assert dots[15]
    assert not dots[4:9].any()
    assert not dots[10:15].any()


@pytest.mark.parametrize(
    ("x", "y"),
    [([], []), ([0.4], [0.5]), ([0, 1], [0.5, 0.5]), ([0, 1], [np.nan, np.nan]), ([3], [0.5])],
)
def test_few_or_no_points_draw_only_what_is_there(x: list[float], y: list[float]) -> None:
    known = sum(0 <= a <= 1 and b == b for a, b in zip(x, y, strict=True))
    dots = unpack(line_masks([trace(x, y)], UNIT, 5, 2)[0])
    assert dots.sum() == {0: 0, 1: 1, 2: 10}[known]


def test_a_line_beyond_the_range_is_cut_not_moved() -> None:
    too_high = trace([0, 0.5, 1], [0.5, 5.0, 0.5])
    dots = unpack(line_masks([too_high], UNIT, 10, 5)[0])
    assert dots[0].sum() == 2
    assert not dots[:, 9:11].any()


def test_infinite_samples_do_not_raise_and_hide_nothing_else() -> None:
    dots = unpack(line_masks([trace([0, 0.5, 1], [0.5, np.inf, 0.5])], UNIT, 10, 1)[0])
    assert dots[:, 0].any()
    assert dots[:, 19].any()


@pytest.mark.parametrize(
    ("pattern", "on"),
    [
        (Pattern.SOLID, "111111111111"),
        (Pattern.DASHED, "111100111100"),
        (Pattern.DOTTED, "100010001000"),
        (Pattern.SPARSE, "110000001100"),
    ],
)
def test_each_pattern_is_told_apart_without_colour(pattern: Pattern, on: str) -> None:
    dots = unpack(line_masks([trace([0, 1], [0.5, 0.5], pattern)], UNIT, 6, 1)[0])
    assert "".join(str(int(dot)) for dot in dots.any(axis=0)) == on


def test_a_heavy_line_is_two_dots_thick() -> None:
    dots = unpack(line_masks([trace([0, 1], [0.5, 0.5], Pattern.HEAVY)], UNIT, 6, 1)[0])
    assert dots.sum(axis=0).tolist() == [2] * 12


def test_dashes_stand_still_while_the_line_grows() -> None:
    x = np.linspace(0, 1, 400)
    y = 0.5 + 0.4 * np.sin(9 * x)
    whole = line_masks([Trace(x, y, UNIT, Pattern.DASHED)], UNIT, 30, 8)[0]
    part = line_masks([Trace(x[:200], y[:200], UNIT, Pattern.DASHED)], UNIT, 30, 8)[0]
    assert (part[:, :14] == whole[:, :14]).all()


def test_where_lines_meet_the_first_gives_the_colour_and_all_give_dots() -> None:
    level, rising = trace([0, 1], [0.5, 0.5]), trace([0, 1], [0, 1])
    masks = line_masks([level, rising], UNIT, 8, 3)
    dots, first = merge(masks)
    assert (dots == masks[0] | masks[1]).all()
    both = (masks[0] != 0) & (masks[1] != 0)
    assert both.any()
    assert (first[both] == 0).all()
    assert (first[(masks[1] != 0) & ~both] == 1).all()
    assert (first[dots == 0] == -1).all()


def test_each_line_has_its_own_y_range() -> None:
    x = np.array([0.0, 1.0])
    masks = line_masks(
        [Trace(x, np.array([230.0, 230.0]), (0, 230)), Trace(x, np.array([0.0, 0.0]), (0, 20))],
        UNIT,
        2,
        2,
    )
    assert masks[0, 0].all() and not masks[0, 1].any()
    assert masks[1, 1].all() and not masks[1, 0].any()


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.floats(0, 1) | st.just(float("nan")), min_size=1, max_size=60),
    st.integers(1, 12),
    st.integers(1, 6),
)
def test_every_known_sample_has_a_dot_within_one_of_it(
    y: list[float], width: int, height: int
) -> None:
    x = np.linspace(0, 1, len(y)) if len(y) > 1 else np.array([0.0])
    dots = unpack(line_masks([Trace(x, np.array(y), UNIT)], UNIT, width, height)[0])
    rows, columns = dots.shape
    for at, value in zip(x, y, strict=True):
        if value == value:
            column, row = int(at * (columns - 1) + 0.5), (1 - value) * (rows - 1)
            assert min(abs(np.flatnonzero(dots[:, column]) - row), default=np.inf) <= 1.0


def unpack(mask: np.ndarray) -> np.ndarray:
    """Braille bits, shape (height, width), as single dots, shape (4 height, 2 width)."""
    height, width = mask.shape
    dots = (mask[:, None, :, None] & DOT_BITS[None, :, None, :]) != 0
    return dots.reshape(4 * height, 2 * width)
