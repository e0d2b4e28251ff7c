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
    draw_reach,
    draw_tip,
    draw_upright,
)
from roastside.app.draw.band import fill_band
from roastside.app.draw.cells import Cells, shortened, text_width
from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.raster import FloatArray, Pattern, Trace
from roastside.app.draw.scale import AxisRange, spread

_EMPTY: FloatArray = np.empty(0)
_CORRIDORS_SHOWN = 1.75
_LEAST_TOLERANCE_C = 0.1
_JUST_OUTSIDE = 1.001


@dataclass(frozen=True, slots=True, eq=False)
class LaneData:
    """All that the lane shows.

    `x` elapsed seconds and `deviation_c` live minus reference, °C (NaN breaks the line);
    `ahead_x`, `ahead_c` the same for the forecast. The corridor is ± `tolerance_c`, or where that
    changes ± `corridor_c` at `corridor_x`, and then `tolerance_c` is its width now. The last
    deviation is true within ± `reach_c` nine times in ten: caps show it if it is wide. `now_s` is
    the present; `x_range` the seconds in sight. `limit_c`: degrees from the centre to the edge,
    None follows the data. With a `note`, only that one line is shown: there is no reference.
    """

    x: FloatArray = field(default_factory=lambda: _EMPTY)
    deviation_c: FloatArray = field(default_factory=lambda: _EMPTY)
    ahead_x: FloatArray = field(default_factory=lambda: _EMPTY)
    ahead_c: FloatArray = field(default_factory=lambda: _EMPTY)
    tolerance_c: float = 2.0
    reach_c: float = 0.0
    corridor_x: FloatArray = field(default_factory=lambda: _EMPTY)
    corridor_c: FloatArray = field(default_factory=lambda: _EMPTY)
    now_s: float | None = None
    x_range: Range = (0.0, 120.0)
    limit_c: float | None = None
    marks: Sequence[VerticalMark] = ()
    unit: str = "°C"
    hotter: str = "hotter, ahead"
    cooler: str = "cooler, behind"
    note: str = ""

    def allowed_c(self, x: FloatArray) -> FloatArray:
        """Half the width of the corridor at these elapsed seconds."""
        if not len(self.corridor_x):
            return np.full(len(x), self.tolerance_c)
        return np.interp(x, self.corridor_x, self.corridor_c)


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
    foot = int(height >= 5)
    flags = int(height >= 9 and any(mark.label for mark in data.marks))
    rows = height - foot - flags
    if rows < 1:
        return cells
    tolerance_c = max(data.tolerance_c, _LEAST_TOLERANCE_C)
    wide = _corridor_rows(rows, tolerance_c, data.limit_c or scale.fit(data))
    limit = tolerance_c * (4 * rows - 1) / (4 * wide)
    labels = _labels(rows, wide, tolerance_c, limit)
    margin = max(map(len, labels.values()), default=0) + 1 if width >= 24 else 0
    area = Area(flags, margin, width - margin, rows, spread(*data.x_range))
    if area.width < 1:
        return cells

    _draw_traces(cells, area, data, (-limit, limit))
    for mark in data.marks:
        draw_upright(cells, area, mark.x, mark.ink)
    draw_level(cells, area, 0.0, (-limit, limit), Ink.REFERENCE, every=2)
    if data.now_s is not None:
        draw_upright(cells, area, data.now_s, Ink.QUIET, every=1)
    if shaded:
        for edge_c in (tolerance_c * _JUST_OUTSIDE, -tolerance_c * _JUST_OUTSIDE):
            draw_level(cells, area, edge_c, (-limit, limit), Ink.SHADE, every=1)
    columns = np.linspace(*area.x_range, area.width)
    half = np.minimum(data.allowed_c(columns) / tolerance_c * wide, rows) / 2
    fill_band(cells, flags, margin, rows, rows / 2 - half, rows / 2 + half, Ground.CORRIDOR, shaded)

    if margin:
        for row, label in labels.items():
            cells.write(flags + row, margin - 1 - len(label), label, Ink.QUIET)
    if flags:
        draw_mark_labels(cells, area, 0, data.marks)
    if foot:
        draw_clock_axis(cells, area, height - 1)
    if rows >= 3:
        _draw_words(cells, area, data)
    return cells


def _corridor_rows(rows: int, tolerance_c: float, limit_c: float) -> int:
    """How many of the lane's rows the corridor takes, so that its edges fall between rows and
    `limit_c` is in sight."""
    wide = min(int(rows * tolerance_c / limit_c), rows)
    wide -= (rows - wide) % 2
    return max(wide, 2 - rows % 2)


def _labels(rows: int, wide: int, tolerance_c: float, limit_c: float) -> dict[int, str]:
    """Row and text: the corridor's edges (in its outer rows, or beside it when it is thin), the
    centre, and the edges of the lane when they are well away."""
    top = (rows - wide) // 2 - (wide < 3)
    half = f"{round(tolerance_c, 1):g}"
    labels: dict[int, str] = {}
    if top >= 2:
        labels |= {0: f"+{limit_c:.2g}", rows - 1: f"−{limit_c:.2g}"}
    if top >= 0:
        labels |= {top: f"+{half}", rows - 1 - top: f"−{half}"}
    if rows % 2 or wide != 2:
        labels[rows // 2] = "0"
    return labels


def _draw_traces(cells: Cells, area: Area, data: LaneData, y_range: Range) -> None:
    live = data.deviation_c
    outside = np.abs(live) > data.allowed_c(data.x)
    outside[1:] |= outside[:-1]
    lines = [
        (data.x, np.where(outside, live, np.nan), Pattern.HEAVY, Ink.BAD),
        (data.x, live, Pattern.HEAVY, Ink.BEAN),
        (data.ahead_x, data.ahead_c, Pattern.DOTTED, Ink.BEAN),
    ]
    draw_lines(cells, area, [(Trace(x, y, y_range, pattern), ink) for x, y, pattern, ink in lines])
    ink = Ink.BAD if outside[-1:].any() else Ink.BEAN
    draw_reach(cells, area, data.x, live, data.reach_c, y_range, ink)
    draw_tip(cells, area, data.x, live, y_range, ink)
    low, high = y_range
    for x, y, _, ink in (lines[2], lines[0]):
        _draw_arrows(cells, area, x[y > high], 0, "▲", ink)
        _draw_arrows(cells, area, x[y < low], area.height - 1, "▼", ink)


def _draw_arrows(cells: Cells, area: Area, x: FloatArray, row: int, sign: str, ink: Ink) -> None:
    """Signs along the edge where a line is out of sight beyond it."""
    left, right = area.x_range
    dots = np.floor((x - left) / (right - left) * (2 * area.width - 1) + 0.5)
    for column in np.unique(dots[(dots >= 0) & (dots < 2 * area.width)] // 2)[::-3]:
        cells.write(area.row + row, area.column + int(column), sign, ink)


def _draw_words(cells: Cells, area: Area, data: LaneData) -> None:
    """What up and down mean, at the right end of the edges, where nothing is drawn yet."""
    for row, sign, word in (
        (area.row, "▲", data.hotter),
        (area.row + area.height - 1, "▼", data.cooler),
    ):
        for text in (f"{sign} {word}", f"{sign} {word.partition(',')[0]}"):
            column = cells.width - text_width(text)
            if column > area.column and cells.blank()[row, column - 1 :].all():
                cells.write(row, column, text, Ink.QUIET)
                break
