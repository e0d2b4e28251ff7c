"""Lines as braille dots: a cell is two dots wide and four high.

The braille block starts at U+2800; each of the eight dots is one bit (The Unicode Standard,
chapter 21.1 "Braille", and the code chart U+2800-U+28FF).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
MaskArray = NDArray[np.uint8]

BRAILLE = 0x2800
DOT_BITS: MaskArray = np.array(
    [[0x01, 0x08], [0x02, 0x10], [0x04, 0x20], [0x40, 0x80]], dtype=np.uint8
)
"""Bit of the dot at [row, column] inside a cell: dots 1 4 / 2 5 / 3 6 / 7 8."""


class Pattern(IntEnum):
    """How a line is dotted, so that colour is never the only way to tell lines apart."""

    HEAVY = 0
    SOLID = 1
    DASHED = 2
    DOTTED = 3
    SPARSE = 4


_ON_OFF = ("1", "1", "111100", "1000", "11000000")
_PERIOD = 24
_ON = np.array([[c == "1" for c in (p * _PERIOD)[:_PERIOD]] for p in _ON_OFF])


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """One line to draw: ascending `x`, its `y` (NaN breaks the line), and the y values that lie on
    the lowest and on the highest dot of the canvas."""

    x: FloatArray
    y: FloatArray
    y_range: tuple[float, float]
    pattern: Pattern = Pattern.SOLID


def line_masks(
    traces: Sequence[Trace], x_range: tuple[float, float], width: int, height: int
) -> MaskArray:
    """The dots of each trace, as braille bits of shape (traces, height, width).

    In every dot column a line covers all it passes through: with many samples in one column their
    lowest and highest, so a spike is never lost. Parts outside the ranges are left out.
    """
    columns, rows, count = 2 * width, 4 * height, len(traces)
    if not count or not width or not height:
        return np.zeros((count, height, width), dtype=np.uint8)
    top, bottom = _spans(traces, x_range, columns, rows)
    with np.errstate(invalid="ignore"):
        first, last = np.ceil(top - 0.5), np.floor(bottom - 0.5)
        between_dots = first > last
        nearest = np.floor((top + bottom) / 2)
        patterns = np.array([trace.pattern for trace in traces])
        first = np.where(between_dots, nearest, first)
        last = np.where(between_dots, nearest, last) + (patterns == Pattern.HEAVY)[:, None]
        visible = (first < rows) & (last >= 0)
    first = np.clip(first[visible], 0, rows - 1).astype(np.intp)
    last = np.clip(last[visible], 0, rows - 1).astype(np.intp)
    which, column = np.nonzero(visible)

    length = last - first + 1
    step = np.arange(length.sum()) - np.repeat(np.cumsum(length) - length, length)
    which, column = np.repeat(which, length), np.repeat(column, length)
    row = np.repeat(first, length) + step
    # Counted from the canvas's edge, the dashes stand still while a line grows.
    on = _ON[patterns[which], (column + step) % _PERIOD]
    which, column, row = which[on], column[on], row[on]
    cell = (which * height + (row >> 2)) * width + (column >> 1)
    # Every dot occurs once per trace, so adding bits is the same as or-ing them.
    bits = np.bincount(cell, DOT_BITS[row & 3, column & 1], minlength=count * height * width)
    return bits.astype(np.uint8).reshape(count, height, width)


def _spans(
    traces: Sequence[Trace], x_range: tuple[float, float], columns: int, rows: int
) -> tuple[FloatArray, FloatArray]:
    """Smallest and largest dot position of each trace in each dot column, shape (traces, columns).

    Positions run down from the canvas's top edge; dot r has its centre at r + 0.5; NaN: nothing.
    """
    left, right = x_range
    per_dot = (right - left) / max(columns - 1, 1)
    edges = left + (np.arange(columns + 1, dtype=np.float64) - 0.5) * per_dot
    lowest = np.full((len(traces), columns), np.nan)
    highest = lowest.copy()
    for n, trace in enumerate(traces):
        if trace.x.size:
            _column_extents(trace, edges, lowest[n], highest[n])
    low, high = np.array([trace.y_range for trace in traces], dtype=float).T[:, :, None]
    scale = (rows - 1) / (high - low)
    return (high - highest) * scale + 0.5, (high - lowest) * scale + 0.5


def _column_extents(
    trace: Trace, edges: FloatArray, lowest: FloatArray, highest: FloatArray
) -> None:
    """Set the smallest and largest y of a line between each two neighbouring edges."""
    crossing = np.interp(edges, trace.x, trace.y, left=np.nan, right=np.nan)
    np.fmin(crossing[:-1], crossing[1:], out=lowest)
    np.fmax(crossing[:-1], crossing[1:], out=highest)
    bounds = np.searchsorted(trace.x, edges)
    filled = bounds[:-1] < bounds[1:]
    starts = bounds[:-1][filled]
    if starts.size:
        values = trace.y[: bounds[-1]]
        lowest[filled] = np.fmin(lowest[filled], np.fmin.reduceat(values, starts))
        highest[filled] = np.fmax(highest[filled], np.fmax.reduceat(values, starts))


def merge(masks: MaskArray) -> tuple[MaskArray, NDArray[np.intp]]:
    """All traces in one: the dots or-ed, and per cell the first trace with a dot in it (-1: none).

    `masks` in order of priority, highest first, shape (traces, height, width).
    """
    if not len(masks):
        return np.zeros(masks.shape[1:], np.uint8), np.full(masks.shape[1:], -1, np.intp)
    dots = np.bitwise_or.reduce(masks, axis=0)
    return dots, np.where(dots != 0, np.argmax(masks != 0, axis=0), -1)
