"""Large figures, two pixels to a character cell, for a glance from three metres.

Drawn for this app: wide strokes, all numerals equally wide so that nothing jumps as they change.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

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
_NARROW = (
    """
0   1   2   3   4   5   6   7   8   9   : . +   −   °
### ##. ### ### #.# ### ### ### ### ### . . ... ... ###
#.# .#. ..# ..# #.# #.. #.. ..# #.# #.# # . .#. ... #.#
#.# .#. ..# .## #.# ### #.. ..# ### #.# . . ### ### ###
#.# .#. ### ..# ### ..# ### ..# #.# ### . . .#. ... ...
#.# .#. #.. ..# ..# ..# #.# ..# #.# ..# # . ... ... ...
### ### ### ### ..# ### ### ..# ### ### . # ... ... ...
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


class Face(NamedTuple):
    """A set of numerals `rows` high. A character it has not stands in plain."""

    rows: int
    glyphs: Mapping[str, NDArray[np.uint32]]


LARGE = Face(5, _read(_LARGE))
SMALL = Face(3, _read(_SMALL))
NARROW = Face(3, _read(_NARROW))
FACES = (LARGE, SMALL, NARROW)
"""The faces for figures, the most legible from afar first."""

PLAIN = Face(1, {})
"""Plain text."""


def figure_width(text: str, face: Face) -> int:
    """Cells across that a text takes in a face."""
    if face is PLAIN:
        return sum(map(cell_width, text))
    widths = [_width(character, face) for character in text.translate(_MINUS_SIGNS)]
    return sum(widths) + max(len(widths) - 1, 0)


def _width(character: str, face: Face) -> int:
    glyph = face.glyphs.get(character)
    return cell_width(character) if glyph is None else glyph.shape[1]


def write_figure(cells: Cells, row: int, column: int, text: str, face: Face, ink: Ink) -> int:
    """Write in a face, the top left at (row, column); returns the column after the end.

    A character that the face has not stands in plain on the bottom row.
    """
    if face is PLAIN:
        return cells.write(row, column, text, ink)
    end = column - 1
    for character in text.translate(_MINUS_SIGNS):
        start = end + 1
        end = start + _width(character, face)
        glyph = face.glyphs.get(character)
        if glyph is None:
            cells.write(row + face.rows - 1, start, character, ink)
        elif end <= cells.width and row + face.rows <= cells.height:
            cells.glyph[row : row + face.rows, start:end] = glyph
            cells.ink[row : row + face.rows, start:end] = ink
    return max(end, column)
