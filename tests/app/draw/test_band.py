"""Block elements: The Unicode Standard, code chart U+2580-U+259F (lower eighths U+2581-U+2588)."""

from __future__ import annotations

import numpy as np

from roastside.app.draw.band import dots_to_masks, fill_band
from roastside.app.draw.cells import Cells
from roastside.app.draw.inks import Ground, Ink


def filled(top: float, bottom: float, shaded: bool = False) -> Cells:
    cells = Cells(2, 4)
    edges = np.full(2, top), np.full(2, bottom)
    fill_band(cells, 0, 0, 4, *edges, Ground.CORRIDOR, shaded)
    return cells


def test_whole_cells_get_the_ground() -> None:
    cells = filled(1, 3)
    assert cells.ground[:, 0].tolist() == [0, Ground.CORRIDOR, Ground.CORRIDOR, 0]
    assert cells.text() == ["  "] * 4


def test_the_upper_edge_is_a_lower_block_in_the_colour_of_the_band() -> None:
    cells = filled(0.625, 2)
    assert cells.text()[0] == "▃▃"
    assert cells.ink[0, 0] == Ink.CORRIDOR
    assert cells.ground[0, 0] == Ground.PAPER


def test_the_lower_edge_is_paper_over_the_ground_of_the_band() -> None:
    cells = filled(1, 2.625)
    assert cells.text()[2] == "▃▃"
    assert cells.ink[2, 0] == Ink.PAPER
    assert cells.ground[2, 0] == Ground.CORRIDOR


def test_a_band_thinner_than_a_cell_is_still_seen() -> None:
    assert filled(1.1, 1.4).text()[1] == "▀▀"
    assert filled(1.6, 1.9).text()[1] == "▄▄"


def test_lines_in_front_stay_and_the_ground_goes_behind_them_when_it_covers_half() -> None:
    cells = Cells(2, 2)
    cells.write(0, 0, "x", Ink.BEAN)
    cells.write(1, 0, "x", Ink.BEAN)
    fill_band(cells, 0, 0, 2, np.full(2, 0.4), np.full(2, 1.4), Ground.CORRIDOR)
    assert [row[0] for row in cells.text()] == ["x", "x"]
    assert cells.ground[:, 0].tolist() == [Ground.CORRIDOR, Ground.PAPER]


def test_no_band_where_it_is_unknown() -> None:
    cells = Cells(3, 2)
    edge = np.array([0.0, np.nan, 0.0])
    fill_band(cells, 0, 0, 2, edge, edge + 2, Ground.CORRIDOR)
    assert cells.ground.tolist() == [[1, 0, 1], [1, 0, 1]]


def test_shaded_bands_are_sparse_dots_inside_only() -> None:
    cells = filled(1, 3, shaded=True)
    text = cells.text()
    assert text[0] == text[3] == "  "
    assert all(0x2800 < ord(character) < 0x2900 for character in text[1] + text[2])
    assert not cells.ground.any()


def test_single_dots_become_braille_bits() -> None:
    dots = np.zeros((4, 4), dtype=bool)
    dots[0, 0] = dots[3, 3] = True
    # DOTS-1 is U+2801, DOTS-8 is U+2880
    assert dots_to_masks(dots).tolist() == [[0x01, 0x80]]
