"""Large figures, two pixels to a character cell, for a glance from three metres.

Drawn for this app: wide strokes, all numerals equally wide so that nothing jumps as they change.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roastside.app.draw.cells import Cells, cell_width
from roastside.app.draw.inks import Ink

_SMALL = (
    """
0      1      2      3      4      5      6      7
.####. ..##.. #####. #####. ##..## ###### .####. ######
##..## .###.. ....## ....## ##..## ##.... ##.... ....##
##..## ..##.. ..###. ..###. ###### #####. #####. ...##.
##..## ..##.. .##... ....## ....## ....## ##..## ...##.
##..## ..##.. ##.... ....## ....## ....## ##..## ..##..
.####. .####. ###### #####. ....## #####. .####. ..##..
""",
    """
8      9      :  .  +      −      °
.####. .####. .. .. ...... ...... ###
##..## ##..## ## .. ..##.. ...... #.#
.####. .##### .. .. ###### ###### ###
##..## ....## .. .. ..##.. ...... ...
##..## ....## ## .. ...... ...... ...
.####. .####. .. ## ...... ...... ...
""",
)
_LARGE = (
    """
0       1       2       3       4       5
.#####. ...##.. .#####. .#####. ....### #######
####### ..###.. ####### ####### ...#### #######
##...## .####.. ##...## ##...## ..##.## ##.....
##...## ...##.. .....## .....## .##..## ##.....
##...## ...##.. ....### ..####. ##...## ######.
##...## ...##.. ..####. ..####. ####### #######
##...## ...##.. .###... .....## ####### .....##
##...## ...##.. ###.... ##...## .....## ##...##
####### .###### ####### ####### .....## #######
.#####. .###### ####### .#####. .....## .#####.
""",
    """
6       7       8       9
..####. ####### .#####. .#####.
.#####. ####### ####### #######
###.... .....## ##...## ##...##
##..... ....##. ##...## ##...##
######. ....##. .#####. #######
####### ...##.. .#####. .######
##...## ...##.. ##...## .....##
##...## ..##... ##...## ....###
####### ..##... ####### .#####.
.#####. ..##... .#####. .####..
""",
    """
:  .  +      −      °
.. .. ...... ...... .##.
.. .. ...... ...... #..#
## .. ..##.. ...... #..#
## .. ..##.. ...... .##.
.. .. ###### ###### ....
.. .. ###### ###### ....
## .. ..##.. ...... ....
## .. ..##.. ...... ....
.. ## ...... ...... ....
.. ## ...... ...... ....
""",
)

_MINUS_SIGNS = str.maketrans("-–—", "−−−")
_HALF_BLOCKS = np.array([0x20, 0x2580, 0x2584, 0x2588], dtype="<u4")
"""Neither half, the upper, the lower, both."""


def _read(tables: tuple[str, ...]) -> dict[str, NDArray[np.uint32]]:
    glyphs = {}
    for table in tables:
        names, *rows = table.strip("\n").split("\n")
        columns = zip(*(row.split(" ") for row in rows), strict=True)
        for name, art in zip(names.split(), columns, strict=True):
            pixels = np.array([[pixel == "#" for pixel in row] for row in art], dtype=np.intp)
            glyphs[name] = _HALF_BLOCKS[pixels[0::2] + 2 * pixels[1::2]]
    return glyphs


_GLYPHS = {3: _read(_SMALL), 5: _read(_LARGE)}
SIZES = (5, 3)
"""Heights in rows, the largest first."""


def figure_width(text: str, size: int) -> int:
    """Cells across that a text takes when written `size` rows high; 1 row is plain text."""
    if size == 1:
        return sum(map(cell_width, text))
    widths = [_width(character, size) for character in text.translate(_MINUS_SIGNS)]
    return sum(widths) + max(len(widths) - 1, 0)


def _width(character: str, size: int) -> int:
    glyph = _GLYPHS[size].get(character)
    return cell_width(character) if glyph is None else glyph.shape[1]


def write_figure(cells: Cells, row: int, column: int, text: str, size: int, ink: Ink) -> int:
    """Write `size` rows high, the top left at (row, column); returns the column after the end.

    A character that has no large form stands in plain on the bottom row.
    """
    if size == 1:
        return cells.write(row, column, text, ink)
    end = column - 1
    for character in text.translate(_MINUS_SIGNS):
        start = end + 1
        end = start + _width(character, size)
        glyph = _GLYPHS[size].get(character)
        if glyph is None:
            cells.write(row + size - 1, start, character, ink)
        elif end <= cells.width and row + size <= cells.height:
            cells.glyph[row : row + size, start:end] = glyph
            cells.ink[row : row + size, start:end] = ink
    return max(end, column)
