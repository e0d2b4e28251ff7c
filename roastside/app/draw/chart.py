"""The chart of a whole roast: plain data in, a grid of cells out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from roastside.app.draw.area import (
    Area,
    Range,
    VerticalMark,
    draw_clock_axis,
    draw_legend,
    draw_letters,
    draw_level,
    draw_lines,
    draw_mark_labels,
    draw_tip,
    draw_upright,
    draw_value_labels,
)
from roastside.app.draw.band import fill_band
from roastside.app.draw.cells import Cells, text_width
from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.raster import FloatArray, Pattern, Trace
from roastside.app.draw.scale import AxisRange, nice_step, spread, ticks, value_label

Axis = Literal["left", "right"]
_THINNEST_BAND_ROWS = 0.75


@dataclass(frozen=True, slots=True, eq=False)
class Series:
    """A line: ascending `x`, its `y` (NaN breaks it). Higher `priority` wins where lines meet.

    `tip` puts a round dot on its last point, `letter` stands after it. A series without a name is
    not in the legend.
    """

    name: str
    x: FloatArray
    y: FloatArray
    axis: Axis = "left"
    ink: Ink = Ink.BEAN
    pattern: Pattern = Pattern.SOLID
    priority: int = 0
    tip: bool = False
    letter: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """A filled corridor between `low` and `high`, on the left axis."""

    x: FloatArray
    low: FloatArray
    high: FloatArray
    ground: Ground = Ground.CORRIDOR


@dataclass(frozen=True, slots=True)
class Level:
    """A level line across the chart, such as a drop temperature."""

    y: float
    axis: Axis = "left"
    ink: Ink = Ink.MARK


@dataclass(frozen=True, slots=True, eq=False)
class ChartData:
    """All that a chart shows. x in seconds; a range of None follows the data."""

    series: Sequence[Series] = ()
    bands: Sequence[Band] = ()
    marks: Sequence[VerticalMark] = ()
    levels: Sequence[Level] = ()
    x_range: Range | None = None
    left_range: Range | None = None
    right_range: Range | None = None
    left_unit: str = "°C"
    right_unit: str = "°C/min"


@dataclass(slots=True)
class ChartScales:
    """The ranges of the three axes, remembered between drawings so that they do not flicker."""

    x: AxisRange = field(default_factory=lambda: AxisRange(least=60.0))
    left: AxisRange = field(default_factory=lambda: AxisRange(least=10.0))
    right: AxisRange = field(default_factory=lambda: AxisRange(least=5.0))

    def fit(self, data: ChartData) -> tuple[Range, Range, Range]:
        """The x, left and right ranges to draw this data in."""
        x_range = data.x_range or self.x.fit(*_extent([s.x for s in data.series]))
        ranges: dict[Axis, Range] = {}
        axes: tuple[tuple[Axis, Range | None, AxisRange], ...] = (
            ("left", data.left_range, self.left),
            ("right", data.right_range, self.right),
        )
        for axis, given, scale in axes:
            values = [_seen(s.x, s.y, x_range) for s in data.series if s.axis == axis]
            if axis == "left":
                values += [_seen(b.x, y, x_range) for b in data.bands for y in (b.low, b.high)]
            values.append(np.array([level.y for level in data.levels if level.axis == axis]))
            ranges[axis] = given or scale.fit(*_extent(values))
        return x_range, ranges["left"], ranges["right"]


def _seen(x: FloatArray, y: FloatArray, x_range: Range) -> FloatArray:
    return y[np.searchsorted(x, x_range[0]) : np.searchsorted(x, x_range[1], side="right")]


def _extent(arrays: Sequence[FloatArray]) -> Range:
    filled = [array for array in arrays if array.size]
    if not filled:
        return math.nan, math.nan
    lows = [float(np.fmin.reduce(array)) for array in filled]
    highs = [float(np.fmax.reduce(array)) for array in filled]
    return float(np.fmin.reduce(lows)), float(np.fmax.reduce(highs))


def draw_chart(
    data: ChartData, scales: ChartScales, width: int, height: int, shaded: bool = False
) -> Cells:
    """Draw it in `width` by `height` cells. Labels, legend and units give way when it is small.

    `shaded` draws bands as sparse dots, for terminals with few colours.
    """
    cells = Cells(width, height)
    x_range, left, right = (spread(*axis) for axis in scales.fit(data))
    has_right = width >= 40 and any(s.axis == "right" for s in data.series)
    header = int(height >= 5 and width >= 20)
    flags = int(height >= 10 and any(mark.label for mark in data.marks))
    foot = int(height >= 4)
    plot_height = height - header - flags - foot
    left_step, right_step = _step(left, plot_height), _step(right, plot_height)
    left_ticks, right_ticks = ticks(*left, left_step), ticks(*right, right_step)
    left_margin = _label_width(left_ticks, left_step) + 1 if width >= 24 else 0
    right_margin = _label_width(right_ticks, right_step) + 2 if has_right else 0
    area = Area(
        header + flags, left_margin, width - left_margin - right_margin, plot_height, x_range
    )
    if area.width < 1 or area.height < 1:
        return cells

    _draw_series(cells, area, data, left, right)
    for band in data.bands:
        _draw_band(cells, area, band, left, shaded)
    for mark in data.marks:
        draw_upright(cells, area, mark.x, mark.ink)
    for level in data.levels:
        draw_level(cells, area, level.y, left if level.axis == "left" else right, level.ink, 2)
    for tick in left_ticks:
        draw_level(cells, area, tick, left)

    if left_margin:
        draw_value_labels(cells, area, left, left_ticks, left_step)
    if has_right:
        draw_value_labels(cells, area, right, right_ticks, right_step, right=True, ink=Ink.RATE)
    if flags:
        draw_mark_labels(cells, area, header, data.marks)
    else:
        draw_mark_labels(cells, area, area.row, data.marks, only_on_blank=True)
    if foot:
        draw_clock_axis(cells, area, height - 1)
    if header:
        _draw_header(cells, area, data, left_margin, has_right)
    return cells


def _step(y_range: Range, rows: int) -> float:
    """Ticks at least three rows apart, or two when there is little height."""
    apart = 3 if rows >= 9 else 2
    return nice_step((y_range[1] - y_range[0]) * apart / max(rows, 1))


def _label_width(values: Sequence[float], step: float) -> int:
    return max((len(value_label(value, step)) for value in values), default=0)


def _by_priority(data: ChartData) -> list[Series]:
    return sorted(data.series, key=lambda series: -series.priority)


def _draw_series(cells: Cells, area: Area, data: ChartData, left: Range, right: Range) -> None:
    lines = [
        (Trace(s.x, s.y, left if s.axis == "left" else right, s.pattern), s.ink)
        for s in _by_priority(data)
    ]
    draw_lines(cells, area, lines)
    for series in reversed(_by_priority(data)):
        if series.tip:
            y_range = left if series.axis == "left" else right
            draw_tip(cells, area, series.x, series.y, y_range, series.ink)
    ranges = {"left": left, "right": right}
    lettered = [s for s in data.series if s.letter]
    draw_letters(cells, area, [(s.letter, s.x, s.y, ranges[s.axis], s.ink) for s in lettered])


def _draw_band(cells: Cells, area: Area, band: Band, left: Range, shaded: bool) -> None:
    if not band.x.size:
        return
    x = area.cell_x()
    high = np.interp(x, band.x, band.high, left=np.nan, right=np.nan)
    low = np.interp(x, band.x, band.low, left=np.nan, right=np.nan)
    top, bottom = area.cell_rows(high, left), area.cell_rows(low, left)
    thickness = (bottom - top)[np.isfinite(bottom - top)]
    if not thickness.size or np.median(thickness) < _THINNEST_BAND_ROWS:
        return
    fill_band(cells, area.row, area.column, area.height, top, bottom, band.ground, shaded)


def _draw_header(
    cells: Cells, area: Area, data: ChartData, left_margin: int, has_right: bool
) -> None:
    column = 0
    if left_margin:
        start = max(0, left_margin - 1 - text_width(data.left_unit))
        column = cells.write(0, start, data.left_unit, Ink.QUIET)
    end = cells.width
    if has_right:
        end -= text_width(data.right_unit)
        cells.write(0, end, data.right_unit, Ink.RATE)
    entries = [(s.name, s.ink, s.pattern) for s in _by_priority(data) if s.name]
    draw_legend(cells, 0, max(area.column, column + 1), end - 2, entries)
