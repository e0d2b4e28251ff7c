"""A grid of character cells: what stands in each, in which ink, on which ground."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.raster import BRAILLE, MaskArray

_BLANK = ord(" ")
_SECOND_HALF = "\0"
"""Stands behind a character that is two cells wide."""

_LOOKS_PER_GROUND = 256

Run = tuple[str, int]
"""A piece of text and the number of its look, see `ink_and_ground`."""


def ink_and_ground(look: int) -> tuple[Ink, Ground]:
    """The ink and the ground that a run's look stands for."""
    ground, ink = divmod(look, _LOOKS_PER_GROUND)
    return Ink(ink), Ground(ground)


class Cells:
    """`width` by `height` cells, blank at first."""

    def __init__(self, width: int, height: int) -> None:
        self.width = width
        self.height = height
        self.glyph = np.full((height, width), _BLANK, dtype="<u4")
        self.ink = np.zeros((height, width), dtype=np.uint8)
        self.ground = np.zeros((height, width), dtype=np.uint8)

    def write(self, row: int, column: int, text: str, ink: Ink = Ink.PLAIN) -> int:
        """Write text, cut at the edges; returns the column after its end."""
        end = column + len(text)
        if text.isascii() and text.isprintable() and 0 <= row < self.height and column >= 0:
            room = self.width - column
            if room > 0:
                self.glyph[row, column:end] = np.frombuffer(text[:room].encode(), dtype=np.uint8)
                self.ink[row, column:end] = ink
            return end
        for character in text:
            wide = cell_width(character)
            if not wide:
                continue
            if 0 <= row < self.height and column >= 0 and column + wide <= self.width:
                self.glyph[row, column] = ord(character)
                self.glyph[row, column + 1 : column + wide] = ord(_SECOND_HALF)
                self.ink[row, column : column + wide] = ink
            column += wide
        return column

    def blank(self) -> NDArray[np.bool_]:
        """Where nothing stands, shape (height, width)."""
        return np.asarray(self.glyph == _BLANK)

    def dots(self, row: int, column: int, masks: MaskArray, inks: NDArray[np.uint8]) -> None:
        """Put braille dots over what is there. `masks` and `inks`: (rows, columns) of cells."""
        rows, columns = masks.shape
        place = np.s_[row : row + rows, column : column + columns]
        dotted = masks != 0
        self.glyph[place][dotted] = BRAILLE + masks[dotted].astype("<u4")
        self.ink[place][dotted] = inks[dotted]

    def changed_rows(self, former: Cells | None) -> list[int]:
        """Rows that look different from those of a former grid of the same size."""
        if former is None or former.glyph.shape != self.glyph.shape:
            return list(range(self.height))
        differs = self.glyph != former.glyph
        differs |= self.ink != former.ink
        differs |= self.ground != former.ground
        return [int(row) for row in np.flatnonzero(differs.any(axis=1))]

    def runs(self, rows: list[int]) -> Iterator[list[Run]]:
        """For each of the rows, its text cut where ink or ground changes.

        An ink shows nothing on a blank, so a blank goes with the run before it.
        """
        if not rows or not self.width:
            yield from ([] for _ in rows)
            return
        glyph, width = self.glyph[rows], self.width
        last_written = np.where(glyph != _BLANK, np.arange(width), 0)
        np.maximum.accumulate(last_written, axis=1, out=last_written)
        look = np.take_along_axis(self.ink[rows], last_written, axis=1).astype(np.int64)
        look += self.ground[rows].astype(np.int64) * _LOOKS_PER_GROUND
        cut = np.ones(look.shape, dtype=bool)
        np.not_equal(look[:, 1:], look[:, :-1], out=cut[:, 1:])
        starts = np.flatnonzero(cut)
        begins = starts.tolist()
        text = glyph.tobytes().decode("utf-32-le")
        line: list[Run] = []
        ends = [*begins[1:], len(text)]
        for begin, end, number in zip(begins, ends, look.ravel()[starts].tolist(), strict=True):
            line.append((text[begin:end].replace(_SECOND_HALF, ""), number))
            if end % width == 0:
                yield line
                line = []

    def text(self) -> list[str]:
        """The rows as plain text."""
        return ["".join(run[0] for run in line) for line in self.runs(list(range(self.height)))]


def cell_width(character: str) -> int:
    """Cells a character takes: 0, 1 or 2 (Unicode Standard Annex 11). 0: it cannot be shown."""
    if character.isascii():
        return int(character.isprintable())
    if not character.isprintable() or unicodedata.combining(character):
        return 0
    return 2 if unicodedata.east_asian_width(character) in "WF" else 1


def text_width(text: str) -> int:
    """Cells a text takes."""
    return len(text) if _is_plain(text) else sum(map(cell_width, text))


def shortened(text: str, width: int) -> str:
    """The text, cut with an ellipsis where it is wider than `width` cells."""
    if text_width(text) <= width:
        return text
    return _fitting(text, width - 1).rstrip() + "…" if width > 0 else ""


def shortened_within(text: str, width: int) -> str:
    """The text, its middle left out where it is wider than `width` cells.

    For the titles of roasts, which tell each other apart by their ends: "House esp…, batch 12".
    """
    if text_width(text) <= width:
        return text
    if width <= 0:
        return ""
    tail = _fitting(text[::-1], width // 2)[::-1].lstrip()
    head = _fitting(text, width - 1 - text_width(tail)).rstrip()
    return f"{head}…{tail}"


def _fitting(text: str, width: int) -> str:
    """The longest beginning of the text that fits in so many cells."""
    if _is_plain(text):
        return text[: max(width, 0)]
    used = 0
    for place, character in enumerate(text):
        used += cell_width(character)
        if used > width:
            return text[:place]
    return text


def _is_plain(text: str) -> bool:
    """Whether each of its characters takes a cell, as in most texts."""
    return text.isascii() and text.isprintable()
