"""The corridor: the reference straightened into a level lane, the live roast wandering in it.

Two degrees cannot be seen on an axis of two hundred; here they are half the height of the lane.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from roastside.app.draw.area import (
    Area,
    Range,
    VerticalMark,
    draw_clock_axis,
    draw_level,
    draw_lines,
    draw_mark_labels,
    draw_tip,
    draw_upright,
    draw_value_labels,
)
from roastside.app.draw.band import fill_band
from roastside.app.draw.cells import Cells, shortened, text_width
from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.raster import FloatArray, Pattern, Trace
from roastside.app.draw.scale import AxisRange, nice_step, ticks, value_label

_EMPTY: FloatArray = np.empty(0)
_CORRIDORS_SHOWN = 2.5


@dataclass(frozen=True, slots=True, eq=False)
class LaneData:
    """All that the lane shows.

    `x` elapsed seconds and `deviation_c` live minus reference, °C (NaN breaks the line);
    `ahead_x`, `ahead_c` the same for the forecast. The corridor is ± `tolerance_c`. `now_s` is
    the present; `x_range` the seconds in sight. `limit_c`: degrees from the centre to the edge,
    None follows the data. With a `note`, only that one line is shown: there is no reference.
    """

    x: FloatArray = field(default_factory=lambda: _EMPTY)
    deviation_c: FloatArray = field(default_factory=lambda: _EMPTY)
    ahead_x: FloatArray = field(default_factory=lambda: _EMPTY)
    ahead_c: FloatArray = field(default_factory=lambda: _EMPTY)
    tolerance_c: float = 2.0
    now_s: float | None = None
    x_range: Range = (0.0, 120.0)
    limit_c: float | None = None
    marks: Sequence[VerticalMark] = ()
    unit: str = "°C"
    hotter: str = "hotter, ahead"
    cooler: str = "cooler, behind"
    note: str = ""


@dataclass(slots=True)
class LaneScale:
    """How many degrees the lane reaches either way, remembered so that it does not flicker."""

    degrees: AxisRange = field(default_factory=lambda: AxisRange(least=1.0))

    def fit(self, data: LaneData) -> float:
        """At least the corridor with room beside it; at most four times that, so that a roast far
        away does not squeeze the corridor to nothing."""
        room = _CORRIDORS_SHOWN * data.tolerance_c
        seen = (data.x >= data.x_range[0]) & (data.x <= data.x_range[1])
        farthest = float(np.fmax.reduce(np.abs(data.deviation_c[seen]), initial=room))
        return self.degrees.fit(0.0, min(farthest, 4 * room))[1]


def draw_lane(
    data: LaneData, scale: LaneScale, width: int, height: int, shaded: bool = False
) -> Cells:
    """Draw it in `width` by `height` cells. Labels give way when it is small."""
    cells = Cells(width, height)
    if data.note:
        note = shortened(data.note, width)
        cells.write(height // 2, (width - text_width(note)) // 2, note, Ink.QUIET)
        return cells
    limit = data.limit_c or scale.fit(data)
    y_range = (-limit, limit)
    foot = int(height >= 5)
    flags = int(height >= 9 and any(mark.label for mark in data.marks))
    rows = height - foot - flags
    step = nice_step(2 * limit * (3 if rows >= 12 else 2) / max(rows, 1))
    values = ticks(*y_range, step)
    margin = 2 + max((len(value_label(v, step)) for v in values), default=0) if width >= 24 else 0
    area = Area(flags, margin, width - margin, rows, data.x_range)
    if area.width < 1 or area.height < 1:
        return cells

    _draw_traces(cells, area, data, y_range)
    tolerance = np.full(area.width, data.tolerance_c)
    top, bottom = area.cell_rows(tolerance, y_range), area.cell_rows(-tolerance, y_range)
    fill_band(cells, flags, margin, rows, top, bottom, Ground.CORRIDOR, shaded)
    for mark in data.marks:
        draw_upright(cells, area, mark.x, mark.ink)
    draw_level(cells, area, 0.0, y_range, Ink.REFERENCE, every=2)
    if data.now_s is not None:
        draw_upright(cells, area, data.now_s, Ink.QUIET, every=1)

    if margin:
        draw_value_labels(cells, area, y_range, values, step, signed=True)
    if flags:
        draw_mark_labels(cells, area, 0, data.marks)
    if foot:
        draw_clock_axis(cells, area, height - 1)
    if rows >= 3:
        _draw_words(cells, area, data)
    return cells


def _draw_traces(cells: Cells, area: Area, data: LaneData, y_range: Range) -> None:
    live = Trace(data.x, data.deviation_c, y_range, Pattern.HEAVY)
    ahead = Trace(data.ahead_x, data.ahead_c, y_range, Pattern.DOTTED)
    draw_lines(cells, area, [(live, Ink.BEAN), (ahead, Ink.BEAN)])
    draw_tip(cells, area, data.x, data.deviation_c, y_range, Ink.BEAN)
    for x, deviation in ((data.x, data.deviation_c), (data.ahead_x, data.ahead_c)):
        _draw_arrows(cells, area, x[deviation > y_range[1]], 0, "▲")
        _draw_arrows(cells, area, x[deviation < y_range[0]], area.height - 1, "▼")


def _draw_arrows(cells: Cells, area: Area, x: FloatArray, row: int, sign: str) -> None:
    """A sign at the edge in every column where the line is out of sight beyond it."""
    dots = {dot // 2 for value in x if (dot := area.dot_column(float(value))) is not None}
    for column in dots:
        cells.write(area.row + row, area.column + column, sign, Ink.BAD)


def _draw_words(cells: Cells, area: Area, data: LaneData) -> None:
    """What up and down mean, at the right end of the edges, where nothing is drawn yet."""
    for row, sign, word in (
        (area.row, "▲", data.hotter),
        (area.row + area.height - 1, "▼", data.cooler),
    ):
        text = f"{sign} {word}"
        column = cells.width - text_width(text)
        if column > area.column and cells.blank()[row, column:].all():
            cells.write(row, column, text, Ink.QUIET)
