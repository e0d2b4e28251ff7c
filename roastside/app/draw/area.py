"""The rectangle of cells that a chart's lines live in, and the quiet things drawn behind them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from roastside.app.draw.cells import Cells, text_width
from roastside.app.draw.inks import Ink
from roastside.app.draw.raster import (
    DOT_BITS,
    FloatArray,
    MaskArray,
    Pattern,
    Trace,
    line_masks,
    merge,
)
from roastside.app.draw.scale import clock, nice_seconds, ticks, value_label

Range = tuple[float, float]
_CELLS_PER_TIME_LABEL = 9


@dataclass(frozen=True, slots=True)
class VerticalMark:
    """Something that happened, or is expected, at a place on the x axis."""

    x: float
    label: str = ""
    ink: Ink = Ink.MARK


@dataclass(frozen=True, slots=True)
class Area:
    """`width` by `height` cells with their top left at (`row`, `column`), showing `x_range`."""

    row: int
    column: int
    width: int
    height: int
    x_range: Range

    def dot_column(self, x: float) -> int | None:
        """The dot column that shows `x`, from 0; None when it is outside."""
        return _position(x, *self.x_range, 2 * self.width)

    def dot_row(self, y: float, y_range: Range) -> int | None:
        """The dot row that shows `y`, from 0 at the top; None when it is outside."""
        return _position(y, y_range[1], y_range[0], 4 * self.height)

    def cell_rows(self, y: FloatArray, y_range: Range) -> FloatArray:
        """Positions in cells down from the top edge, not rounded, for any y."""
        low, high = y_range
        return ((high - y) / (high - low) * (4 * self.height - 1) + 0.5) / 4

    def cell_x(self) -> FloatArray:
        """The x at the middle of each cell column."""
        left, right = self.x_range
        per_dot = (right - left) / max(2 * self.width - 1, 1)
        return left + (2.0 * np.arange(self.width, dtype=np.float64) + 0.5) * per_dot


def _position(value: float, first: float, last: float, dots: int) -> int | None:
    if not math.isfinite(value):
        return None
    place = math.floor((value - first) / (last - first) * (dots - 1) + 0.5)
    return place if 0 <= place < dots else None


def draw_lines(cells: Cells, area: Area, lines: Sequence[tuple[Trace, Ink]]) -> None:
    """Draw lines, the most important first: where they meet, the first gives the colour."""
    masks = line_masks([trace for trace, _ in lines], area.x_range, area.width, area.height)
    dots, first = merge(masks)
    inks = np.array([ink for _, ink in lines] + [Ink.PLAIN], dtype=np.uint8)
    cells.dots(area.row, area.column, dots, inks[first])


def draw_tip(
    cells: Cells, area: Area, x: FloatArray, y: FloatArray, y_range: Range, ink: Ink
) -> None:
    """A round dot on a line's last known point."""
    known = np.flatnonzero(np.isfinite(y))
    if known.size:
        column = area.dot_column(float(x[known[-1]]))
        row = area.dot_row(float(y[known[-1]]), y_range)
        if row is not None and column is not None:
            cells.write(area.row + row // 4, area.column + column // 2, "●", ink)


def draw_reach(
    cells: Cells,
    area: Area,
    x: FloatArray,
    y: FloatArray,
    reach: float,
    y_range: Range,
    ink: Ink,
) -> None:
    """Caps that far above and below a line's last known point, where they are rows away from it."""
    known = np.flatnonzero(np.isfinite(y))
    if not known.size or not reach > 0.0:
        return
    tip = float(y[known[-1]])
    column, own = area.dot_column(float(x[known[-1]])), area.dot_row(tip, y_range)
    if column is None or own is None:
        return
    for cap, end in (("┬", tip + reach), ("┴", tip - reach)):
        row = area.dot_row(end, y_range)
        if row is not None and row // 4 != own // 4:
            cells.write(area.row + row // 4, area.column + column // 2, cap, ink)


def draw_letters(
    cells: Cells, area: Area, ends: Sequence[tuple[str, FloatArray, FloatArray, Range, Ink]]
) -> None:
    """A letter after the last known point of each line (its x, y and range of y).

    Where letters meet they stand side by side, the one whose line ends first at the left.
    """
    taken: set[tuple[int, int]] = set()
    for letter, x, y, y_range, ink in sorted(ends, key=lambda end: _end_of(end[1], end[2])):
        known = np.flatnonzero(np.isfinite(y))
        if not known.size:
            continue
        dot = area.dot_column(float(x[known[-1]]))
        row = area.dot_row(float(y[known[-1]]), y_range)
        if dot is None or row is None:
            continue
        after = range(dot // 2 + 1, area.width)
        before = range(min(dot // 2, area.width - 1), -1, -1)
        line = area.row + row // 4
        free = (column for column in (*after, *before) if (line, column) not in taken)
        if (column := next(free, None)) is not None:
            taken.add((line, column))
            cells.write(line, area.column + column, letter, ink)


def _end_of(x: FloatArray, y: FloatArray) -> float:
    known = x[np.isfinite(y)]
    return float(known[-1]) if known.size else math.inf


def draw_level(
    cells: Cells, area: Area, y: float, y_range: Range, ink: Ink = Ink.RULE, every: int = 4
) -> None:
    """A level line of single dots, `every` so many dot columns, where nothing else stands."""
    row = area.dot_row(y, y_range)
    if row is None:
        return
    dots = np.zeros((1, 2 * area.width), dtype=np.uint8)
    dots[0, ::every] = 1
    bits = (dots.reshape(1, area.width, 2) * DOT_BITS[row & 3]).sum(axis=2, dtype=np.uint8)
    line = area.row + row // 4
    bits[~cells.blank()[line : line + 1, area.column : area.column + area.width]] = 0
    cells.dots(line, area.column, bits, np.full(bits.shape, ink, dtype=np.uint8))


def draw_upright(cells: Cells, area: Area, x: float, ink: Ink = Ink.RULE, every: int = 2) -> None:
    """An upright line of single dots, `every` so many dot rows, where nothing else stands."""
    column = area.dot_column(x)
    if column is None:
        return
    dots = np.zeros(4 * area.height, dtype=np.uint8)
    dots[::every] = 1
    bits = (dots.reshape(area.height, 4) * DOT_BITS[:, column & 1]).sum(axis=1, dtype=np.uint8)
    place = area.column + column // 2
    bits[~cells.blank()[area.row : area.row + area.height, place]] = 0
    inks = np.full((area.height, 1), ink, dtype=np.uint8)
    cells.dots(area.row, place, bits[:, None], inks)


def draw_mark_labels(
    cells: Cells,
    area: Area,
    row: int,
    marks: Sequence[VerticalMark],
    only_on_blank: bool = False,
) -> None:
    """The labels of marks on one row, each beginning at its mark, or ending there at the right
    edge; one that would run into another is left out. `only_on_blank`: they begin after their
    mark's line, and give way to the lines of the chart."""
    free_from = area.column
    right_edge = area.column + area.width
    for mark in sorted(marks, key=lambda mark: mark.x):
        dot = area.dot_column(mark.x)
        if dot is None or not mark.label:
            continue
        width = text_width(mark.label)
        at = area.column + dot // 2
        column = at + only_on_blank
        if column + width > right_edge:
            column = at + 1 - only_on_blank - width
        free = cells.blank()[row, column : column + width].all() or not only_on_blank
        if column >= free_from and free:
            free_from = cells.write(row, column, mark.label, mark.ink) + 2


def time_ticks(area: Area) -> list[float]:
    """Round times along the x axis, far enough apart for their labels."""
    low, high = area.x_range
    return ticks(low, high, nice_seconds((high - low) * _CELLS_PER_TIME_LABEL / area.width))


def draw_clock_axis(cells: Cells, area: Area, row: int) -> None:
    """m:ss under each round time, the colon under the tick where the edges allow it."""
    free_from = 0
    for second in time_ticks(area):
        dot = area.dot_column(second)
        label = clock(second)
        if dot is None:
            continue
        column = area.column + dot // 2 - label.index(":")
        column = max(min(column, cells.width - len(label)), 0)
        if column >= free_from:
            free_from = cells.write(row, column, label, Ink.QUIET) + 2


def draw_value_labels(
    cells: Cells,
    area: Area,
    y_range: Range,
    values: Sequence[float],
    step: float,
    *,
    right: bool = False,
    ink: Ink = Ink.QUIET,
    signed: bool = False,
) -> None:
    """The numbers beside an axis: left ones end one cell before the area, right ones begin one
    cell after it."""
    for value in values:
        dot = area.dot_row(value, y_range)
        if dot is None:
            continue
        label = value_label(value, step)
        if signed and value > 0:
            label = f"+{label}"
        column = area.column + area.width + 1 if right else area.column - 1 - len(label)
        cells.write(area.row + dot // 4, column, label, ink)


def draw_legend(
    cells: Cells, row: int, column: int, end: int, entries: Sequence[tuple[str, Ink, Pattern]]
) -> int:
    """A short sample of each line's pattern and its name, from `column` up to `end`; returns the
    column after it. Entries that do not fit are left out, the last first."""
    for name, ink, pattern in entries:
        if column + _SAMPLE_CELLS + 1 + text_width(name) > end:
            break
        bits = _sample(pattern)
        cells.dots(row, column, bits, np.full(bits.shape, ink, dtype=np.uint8))
        column = cells.write(row, column + _SAMPLE_CELLS + 1, name, Ink.PLAIN) + 3
    return column


_SAMPLE_CELLS = 5


@cache
def _sample(pattern: Pattern) -> MaskArray:
    x_range = (0.0, 2.0 * _SAMPLE_CELLS - 1)
    trace = Trace(np.array(x_range), np.array([2.0, 2.0]), (0.0, 3.0), pattern)
    return line_masks([trace], x_range, _SAMPLE_CELLS, 1).reshape(1, _SAMPLE_CELLS)
