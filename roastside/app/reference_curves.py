"""What the charts of references draw: a version with the one before it, and a change of rate."""

from __future__ import annotations

import numpy as np

from roastside.app.curves import SHORT, in_degrees
from roastside.app.widgets.chart import (
    Band,
    ChartData,
    Ink,
    Level,
    Pattern,
    Series,
    VerticalMark,
)
from roastside.core.change import Change
from roastside.core.readings import MarkName
from roastside.core.reference import Reference
from roastside.core.smooth import Curve
from roastside.core.units import Degrees

_LEAST_SHOWN_C_PER_MIN = 1.0
"""A change of rate is drawn at least so high, so that a tiny one looks tiny."""

_MIRRORED = Series("", np.empty(0), np.empty(0), "right")
"""Gives the chart of change an axis on the right too, so that its times stand under those above."""


def version_chart(own: Reference, before: Reference | None, degrees: Degrees) -> ChartData:
    """A version, temperature and rate, with its corridor; dotted the one it was made from."""
    series = [*_lines(own, degrees, ("bean", "rate"), (Pattern.SOLID, Pattern.SOLID), 4)]
    end_s = own.end_s
    if before is not None and before is not own:
        names = ("before", "")
        series += _lines(before, degrees, names, (Pattern.DOTTED, Pattern.SPARSE), 2)
        end_s = max(end_s, before.end_s)
    elapsed_s, bean_c, _ = own.arrays
    bands = []
    if own.corridor_c is not None:
        wide_c = np.array(own.corridor_c)
        low, high = (in_degrees(bean_c + side * wide_c, degrees) for side in (-1.0, 1.0))
        bands.append(Band(elapsed_s, low, high))
    marks = [
        VerticalMark(at_s, SHORT[MarkName(name)])
        for name, at_s in own.marks.items()
        if name in SHORT
    ]
    return ChartData(
        series=series,
        bands=bands,
        marks=marks,
        x_range=_x_range(end_s),
        left_unit=degrees.unit,
        right_unit=f"{degrees.unit}/min",
    )


def rate_chart(change: Change | None, degrees: Degrees, end_s: float) -> ChartData:
    """By how much the rate changes at each moment, from the turning point on."""
    unit = f"{degrees.unit}/min"
    if change is None:
        return ChartData(
            series=[_MIRRORED],
            levels=[Level(0.0)],
            x_range=_x_range(end_s),
            left_range=(-1.0, 1.0),
            right_range=(-1.0, 1.0),
            left_unit=unit,
            right_unit="",
        )
    after = change.after
    by = np.where(after.arrays[0] >= after.lowest_s, change.rate_change_c_per_min, np.nan)
    most = max(float(np.nanmax(np.abs(by))) * 1.15, _LEAST_SHOWN_C_PER_MIN) * degrees.per_c
    ends_s = max(end_s, after.end_s)
    return ChartData(
        series=[
            Series("change of rate", after.arrays[0], by * degrees.per_c, ink=Ink.RATE),
            _MIRRORED,
        ],
        levels=[Level(0.0)],
        x_range=_x_range(ends_s),
        left_range=(-most, most),
        right_range=(-most, most),
        right_unit="",
        left_unit=f"±{most:.1f} {unit}",
    )


def _lines(
    reference: Reference,
    degrees: Degrees,
    names: tuple[str, str],
    patterns: tuple[Pattern, Pattern],
    priority: int,
) -> tuple[Series, Series]:
    elapsed_s, bean_c, rate = reference.arrays
    is_own = patterns[0] is Pattern.SOLID
    shown = in_degrees(bean_c, degrees)
    return (
        Series(
            names[0],
            elapsed_s,
            shown,
            ink=Ink.BEAN if is_own else Ink.REFERENCE,
            pattern=patterns[0],
            priority=priority,
        ),
        Series(
            names[1],
            elapsed_s,
            _rising(reference, rate) * degrees.per_c,
            "right",
            Ink.RATE if is_own else Ink.REFERENCE,
            patterns[1],
            priority - 1,
        ),
    )


def _rising(reference: Reference, rate: Curve) -> Curve:
    """Before the turning point the rate tells of the probe, not of the beans."""
    return np.where(reference.arrays[0] >= reference.turning_point_s, rate, np.nan)


def _x_range(end_s: float) -> tuple[float, float]:
    return 0.0, max(end_s * 1.04, 120.0)
