"""Filled corridors behind the lines, to an eighth of a cell; or as a light shade of dots."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roastside.app.draw.cells import Cells
from roastside.app.draw.inks import GROUND_INKS, Ground, Ink
from roastside.app.draw.raster import DOT_BITS, FloatArray

_LOWER_BLOCKS = np.array([0x20, *range(0x2581, 0x2589)], dtype="<u4")
"""Filled from below by 0 to 8 eighths: the block elements U+2581-U+2588."""
_UPPER_HALF, _LOWER_HALF = 0x2580, 0x2584
_NEARLY = 1 / 16


def fill_band(
    cells: Cells,
    row: int,
    column: int,
    height: int,
    top: FloatArray,
    bottom: FloatArray,
    ground: Ground,
    shaded: bool = False,
) -> None:
    """Fill between `top` and `bottom`, positions in cells down from `row`, one per cell column.

    What already stands in a cell stays; `shaded` uses sparse dots instead of a ground colour.
    NaN: no band in that column.
    """
    if not height or not top.size:
        return
    place = np.s_[row : row + height, column : column + top.size]
    if shaded:
        _shade(cells, place, height, top, bottom)
        return
    start = np.clip(top - np.arange(height)[:, None], 0, 1)
    end = np.clip(bottom - np.arange(height)[:, None], 0, 1)
    filled = np.nan_to_num(end - start)
    blank = cells.blank()[place]
    reaches_top, reaches_bottom = start <= _NEARLY, end >= 1 - _NEARLY

    whole = (reaches_top & reaches_bottom & (filled > 0)) | (~blank & (filled >= 0.5))
    partly = blank & ~whole & (filled > _NEARLY)
    upper_edge = partly & reaches_bottom
    lower_edge = partly & reaches_top & ~reaches_bottom
    inside = partly & ~reaches_top & ~reaches_bottom

    glyph, ink, grounds = cells.glyph[place], cells.ink[place], cells.ground[place]
    eighths = np.rint(8 * filled).astype(np.intp)
    glyph[upper_edge] = _LOWER_BLOCKS[eighths[upper_edge]]
    glyph[lower_edge] = _LOWER_BLOCKS[8 - eighths[lower_edge]]
    glyph[inside] = np.where((start + end)[inside] < 1, _UPPER_HALF, _LOWER_HALF)
    ink[upper_edge | inside] = GROUND_INKS[ground]
    ink[lower_edge] = Ink.PAPER
    grounds[whole | lower_edge] = ground


def _shade(
    cells: Cells,
    place: tuple[slice, slice],
    height: int,
    top: FloatArray,
    bottom: FloatArray,
) -> None:
    rows = np.arange(4 * height)[:, None]
    columns = np.arange(2 * top.size)
    centre = (rows + 0.5) / 4
    inside = (centre >= np.repeat(top, 2)) & (centre <= np.repeat(bottom, 2))
    lattice = (rows % 2 == 1) & (columns % 4 == rows % 4 - 1)
    masks = dots_to_masks(inside & lattice)
    masks[~cells.blank()[place]] = 0
    cells.dots(
        place[0].start, place[1].start, masks, np.full(masks.shape, Ink.SHADE, dtype=np.uint8)
    )


def dots_to_masks(dots: NDArray[np.bool_]) -> NDArray[np.uint8]:
    """Single dots, shape (4 x height, 2 x width), as braille bits of shape (height, width)."""
    height, width = dots.shape[0] // 4, dots.shape[1] // 2
    bits = dots.reshape(height, 4, width, 2) * DOT_BITS[:, None, :]
    return np.asarray(bits.sum(axis=(1, 3)), dtype=np.uint8)
