"""The glance line: a few large figures side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, product
from typing import Literal

from roastside.app.draw.cells import Cells, shortened, text_width
from roastside.app.draw.digits import FACES, NARROW, PLAIN, Face, figure_width, write_figure
from roastside.app.draw.inks import Ink

Tone = Literal["plain", "good", "warn", "bad"]
_INKS = {"plain": Ink.PLAIN, "good": Ink.GOOD, "warn": Ink.WARN, "bad": Ink.BAD}


@dataclass(frozen=True, slots=True)
class Figure:
    """A number to see from afar, its name above it and its unit beside it.

    `tone` colours it; the caption should say the same in words or with a sign. Where there is no
    room for all, those of lower `priority` become lines of text, or go. `widest` is the widest text
    to come: a figure keeps its place while its text changes up to that.
    """

    caption: str
    text: str
    unit: str = ""
    tone: Tone = "plain"
    priority: int = 0
    widest: str = ""


@dataclass(frozen=True, slots=True)
class _Layout:
    """Some figures large, in a face, and the others as lines of text after them."""

    large: Sequence[Figure]
    lines: Sequence[Figure]
    face: Face
    units: bool

    @property
    def _gap(self) -> int:
        return 2 if self.face is NARROW else 3

    def widths(self) -> list[int]:
        """Cells across of each large figure, and of the lines if there are any."""
        widths = [self._width(figure) for figure in self.large]
        if self.lines:
            widths.append(max(text_width(_line(figure)) for figure in self.lines))
        return widths

    def _width(self, figure: Figure) -> int:
        unit = text_width(figure.unit) + 1 if self.units and figure.unit else 0
        return max(self._digits(figure) + unit, text_width(figure.caption))

    def _digits(self, figure: Figure) -> int:
        return max(figure_width(text, self.face) for text in (figure.text, figure.widest))

    def fits(self, width: int, height: int) -> bool:
        widths = self.widths()
        return sum(widths) + self._gap * (len(widths) - 1) <= width and len(self.lines) <= height

    def columns(self, width: int) -> list[int]:
        """Where each one begins: evenly, as long as each fits into its share."""
        widths = self.widths()
        count = len(widths)
        shares = [width * n // count for n in range(count + 1)]
        room = [end - begin - self._gap for begin, end in pairwise(shares)]
        room[-1] += self._gap
        if all(needed <= given for needed, given in zip(widths, room, strict=True)):
            return shares[:-1]
        spare = max(width - sum(widths), 0)
        return [sum(widths[:n]) + spare * n // max(count - 1, 1) for n in range(count)]


def _line(figure: Figure) -> str:
    return f"{figure.caption} {figure.text} {figure.unit}".rstrip()


def _layouts(figures: Sequence[Figure], height: int) -> Iterator[_Layout]:
    """The ways to show them, the best first: all large; the less important as lines of text;
    the less important not at all; only text."""
    faces = [face for face in FACES if face.rows < height]
    by_priority = sorted(figures, key=lambda figure: -figure.priority)
    for keep_all in (True, False):
        for count in range(len(figures), 0, -1):
            chosen = by_priority[:count]
            large = [figure for figure in figures if figure in chosen]
            lines = [figure for figure in figures if figure not in chosen and keep_all]
            for face, units in product(faces, (True, False)):
                yield _Layout(large, lines, face, units)
    for count in range(len(figures), 0, -1):
        chosen = by_priority[:count]
        for units in (True, False):
            yield _Layout([figure for figure in figures if figure in chosen], (), PLAIN, units)


def draw_figures(figures: Sequence[Figure], width: int, height: int) -> Cells:
    """Draw them in `width` by `height` cells: captions on the first row, figures below."""
    cells = Cells(width, height)
    if not figures or not width or not height:
        return cells
    most_important = max(figures, key=lambda figure: figure.priority)
    last_resort = _Layout([most_important], (), PLAIN, False)
    layouts = _layouts(figures, height)
    layout = next((way for way in layouts if way.fits(width, height)), last_resort)
    columns = layout.columns(width)
    captions = int(height > layout.face.rows)
    for figure, column in zip(layout.large, columns, strict=False):
        ink = _INKS[figure.tone]
        if captions:
            caption = shortened(figure.caption, width - column)
            cells.write(0, column, caption, Ink.QUIET if figure.tone == "plain" else ink)
        end = write_figure(cells, captions, column, figure.text, layout.face, ink)
        if layout.units:
            cells.write(captions + layout.face.rows - 1, end + 1, figure.unit, Ink.QUIET)
    bottom = captions + layout.face.rows
    for row, figure in enumerate(layout.lines, bottom - len(layout.lines)):
        end = cells.write(row, columns[-1], figure.caption, Ink.QUIET) + 1
        end = cells.write(row, end, figure.text, _INKS[figure.tone]) + 1
        cells.write(row, end, figure.unit, Ink.QUIET)
    return cells
