"""The line one moves along in a replay: the roast as a thin bar with its marks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from roastside.app.draw.area import Area, VerticalMark, draw_mark_labels
from roastside.app.draw.cells import Cells
from roastside.app.draw.inks import Ink
from roastside.app.draw.scale import clock, spread

_PASSED, _TO_COME, _NOT_READ, _MARK, _HERE = "━", "─", "┄", "┼", "●"
_LEFT = "playing ×0.5  "
_LEAST_BAR = 12


@dataclass(frozen=True, slots=True)
class ScrubberData:
    """All that the scrubber shows, in elapsed seconds.

    `x_range` is the recording from its beginning to its end, `at_s` the moment shown, `read_to_s`
    how far the recording has been followed. `speed`: roast seconds per second.
    """

    x_range: tuple[float, float] = (0.0, 1.0)
    at_s: float = 0.0
    read_to_s: float = 0.0
    marks: Sequence[VerticalMark] = ()
    playing: bool = False
    speed: float = 1.0


def draw_scrubber(data: ScrubberData, width: int, height: int) -> Cells:
    """Draw it in `width` by `height` cells: state, bar and time, the marks' names below.

    Where it is narrow the bar has it all.
    """
    cells = Cells(width, height)
    area = _bar(data, width)
    if area.width < 2 or not height:
        return cells
    if area.column:
        state = "playing" if data.playing else "paused"
        cells.write(0, 0, f"{state:<7} ×{data.speed:g}")
        cells.write(0, area.column + area.width + 2, _times(data))
    row = np.full(area.width, ord(_TO_COME))
    ink = np.full(area.width, Ink.RULE)
    here, read_to = _cell(area, data.at_s), _cell(area, data.read_to_s)
    row[read_to + 1 :] = ord(_NOT_READ)
    row[:here], ink[:here] = ord(_PASSED), Ink.QUIET
    for mark in data.marks:
        dot = area.dot_column(mark.x)
        if dot is not None:
            row[dot // 2], ink[dot // 2] = ord(_MARK), Ink.MARK
    row[here], ink[here] = ord(_HERE), Ink.BEAN
    place = slice(area.column, area.column + area.width)
    cells.glyph[0, place], cells.ink[0, place] = row, ink
    if height > 1:
        draw_mark_labels(cells, _with_margin(area, width), 1, data.marks)
    return cells


def time_at(data: ScrubberData, width: int, column: int) -> float:
    """The elapsed seconds that a cell of a scrubber `width` cells wide stands for.

    Beside the bar that is its nearer end; its first and last cell are beginning and end exactly.
    """
    area = _bar(data, width)
    begin_s, end_s = data.x_range
    share = (column - area.column) / max(area.width - 1, 1)
    return begin_s + min(max(share, 0.0), 1.0) * (end_s - begin_s)


def _bar(data: ScrubberData, width: int) -> Area:
    """The cells of the bar: its place does not change while one moves along it."""
    beside = len(_LEFT) + 2 + len(_times(data))
    shown = width - beside >= _LEAST_BAR
    column, length = (len(_LEFT), width - beside) if shown else (0, width)
    return Area(0, column, length, 1, spread(*data.x_range))


def _with_margin(area: Area, width: int) -> Area:
    """The same scale, going on to the right edge: the name of a late mark has room there."""
    low, high = area.x_range
    per_dot = (high - low) / (2 * area.width - 1)
    room = width - area.column
    return Area(area.row, area.column, room, 1, (low, low + per_dot * (2 * room - 1)))


def _times(data: ScrubberData) -> str:
    """`5:32 of 11:40`, always as wide as at its widest."""
    begin, end = map(clock, data.x_range)
    return f"{clock(data.at_s):>{max(len(begin), len(end))}} of {end}"


def _cell(area: Area, x: float) -> int:
    """The cell that shows `x`, the nearer end if it is outside."""
    low, high = area.x_range
    dot = area.dot_column(min(max(x, low), high))
    return 0 if dot is None else dot // 2
