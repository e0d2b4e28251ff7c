"""What the lane and the chart of the Roast screen draw, from a moment."""

from __future__ import annotations

from itertools import cycle

import numpy as np
from numpy.typing import NDArray

from roastside.app.moment import Moment
from roastside.app.widgets.chart import Band, ChartData, Ink, Pattern, Series, VerticalMark
from roastside.app.widgets.lane import LaneData
from roastside.core.lag import Lag
from roastside.core.path import faded
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import MarkName
from roastside.core.surely import NINE_IN_TEN
from roastside.core.units import Degrees
from roastside.probes.channels import spoken

Curve = NDArray[np.float64]

LANE_BEHIND_S = 180.0
LANE_AHEAD_S = 60.0

SHORT = {
    MarkName.TURNING_POINT: "turn",
    MarkName.YELLOWING: "yellow",
    MarkName.FIRST_CRACK: "1st crack",
    MarkName.SECOND_CRACK: "2nd crack",
    MarkName.DROP: "drop",
}
"""What a mark is called on a chart; others are not drawn."""

_QUIET = (Pattern.SPARSE, Pattern.DOTTED, Pattern.DASHED)

_SILENT_S, _SILENT_STEPS = 10.0, 3.5
"""A silence longer than this, and than so many of the probe's own steps, is not drawn across."""

_RATE_LOW, _RATE_HIGH = -5.0, 40.0
_NO_REFERENCE = "No reference: choose one to see how far off this roast is."
_NOT_YET = "The corridor begins at the turning point."


def lane(moment: Moment, degrees: Degrees) -> LaneData:
    """The corridor: the last three minutes and the next."""
    if moment.reference is None:
        return LaneData(note=_NO_REFERENCE)
    elapsed_s, charge_s = moment.elapsed_s, moment.view.charge_s
    turned_s = moment.marks.get(MarkName.TURNING_POINT)
    if elapsed_s is None or charge_s is None or turned_s is None:
        return LaneData(note=_NOT_YET)
    begin_s = max(elapsed_s - LANE_BEHIND_S, 0.0)
    window = (begin_s, begin_s + LANE_BEHIND_S + LANE_AHEAD_S)
    x, (deviation_c,) = _since(moment, max(begin_s, turned_s), moment.view.deviation_c)
    ahead_x, ahead_c = _ahead(moment)
    at_s, half_c = _corridor(moment)
    return LaneData(
        x=x,
        deviation_c=deviation_c * degrees.per_c,
        ahead_x=ahead_x,
        ahead_c=ahead_c * degrees.per_c,
        tolerance_c=_tolerance_c(moment) * degrees.per_c,
        reach_c=_reach_c(moment) * degrees.per_c,
        corridor_x=at_s,
        corridor_c=half_c * degrees.per_c,
        now_s=elapsed_s,
        x_range=window,
        marks=_marks(moment),
        unit=degrees.unit,
    )


def _tolerance_c(moment: Moment) -> float:
    """Half the corridor's width now."""
    last = moment.view.last
    own_c = None if last is None else last.tolerance_c
    return moment.plan.tolerance_c if own_c is None else own_c


def _reach_c(moment: Moment) -> float:
    """By how much the deviation may be off, nine times in ten."""
    last = moment.sample
    return NINE_IN_TEN * (last.deviation_sd_c or 0.0) if last is not None else 0.0


def _corridor(moment: Moment) -> tuple[Curve, Curve]:
    """Elapsed seconds and half widths of a reference's own corridor; empty if it has none.

    Where the reference is laid at the turning point its corridor is drawn where it was recorded:
    it changes over minutes, and the shift is one of seconds.
    """
    reference = moment.reference
    if reference is None or reference.corridor_c is None:
        return np.empty(0), np.empty(0)
    return reference.arrays[0], np.array(reference.corridor_c)


def whole(moment: Moment, degrees: Degrees, without_lag: bool = False) -> ChartData:
    """The whole roast: temperatures on the left axis, rates of rise on the right.

    `without_lag` adds the bean temperature without the probe's lag, once that is known.
    """
    view = moment.view
    charge_s, elapsed_s = view.charge_s, moment.elapsed_s
    if charge_s is None or elapsed_s is None:
        return _preheat(moment, degrees)
    x, (bean_c, air_c, rate) = _since(moment, 0.0, view.level_c, view.air_c, view.rate_c_per_min)
    turned_s = moment.marks.get(MarkName.TURNING_POINT, np.inf)
    calm = (x >= turned_s) & (rate > _RATE_LOW) & (rate < _RATE_HIGH)
    rate = np.where(calm, rate, np.nan)
    series = [
        Series("bean", x, in_degrees(bean_c, degrees), ink=Ink.BEAN, priority=6, tip=True),
        Series(
            "air", x, in_degrees(air_c, degrees), ink=Ink.AIR, pattern=Pattern.DASHED, priority=2
        ),
        Series("rate", x, rate * degrees.per_c, "right", Ink.RATE, priority=5),
    ]
    if without_lag:
        series += _without_lag(moment, degrees)
    series += _others(x, _since(moment, 0.0, *view.extras.values())[1], moment, degrees)
    bands = []
    end_s = elapsed_s
    if moment.reference is not None:
        reference = moment.reference
        slack = np.array(reference.corridor_c or moment.plan.tolerance_c)
        end_s = max(end_s, reference.end_s)
        at_s, expected, its_rate = reference.arrays
        its_rate = np.where(at_s > reference.turning_point_s, its_rate, np.nan)
        series += [
            Series(
                "reference",
                at_s,
                in_degrees(expected, degrees),
                ink=Ink.REFERENCE,
                pattern=Pattern.DOTTED,
                priority=4,
            ),
            Series(
                "its rate",
                at_s,
                its_rate * degrees.per_c,
                "right",
                Ink.REFERENCE,
                Pattern.SPARSE,
                priority=1,
            ),
        ]
        low, high = in_degrees(expected - slack, degrees), in_degrees(expected + slack, degrees)
        bands = [Band(at_s, low, high)]
    return ChartData(
        series=series,
        bands=bands,
        marks=_marks(moment),
        x_range=(0.0, max(end_s * 1.04, 120.0)),
        left_unit=degrees.unit,
        right_unit=f"{degrees.unit}/min",
    )


def _preheat(moment: Moment, degrees: Degrees) -> ChartData:
    view = moment.view
    begin_s = float(view.time_s[0]) if len(view.time_s) else 0.0
    x = view.time_s - begin_s
    return ChartData(
        series=[
            Series(
                "bean", x, in_degrees(view.level_c, degrees), ink=Ink.BEAN, priority=2, tip=True
            ),
            Series("air", x, in_degrees(view.air_c, degrees), ink=Ink.AIR, pattern=Pattern.DASHED),
            *_others(x, list(view.extras.values()), moment, degrees),
        ],
        x_range=(0.0, max(float(x[-1]) * 1.1 if len(x) else 0.0, 120.0)),
        left_unit=degrees.unit,
        right_unit=f"{degrees.unit}/min",
    )


def _without_lag(moment: Moment, degrees: Degrees) -> list[Series]:
    """The bean temperature without the probe's lag, from where the probe touches beans."""
    lag, charge_s = moment.view.lag, moment.view.charge_s or 0.0
    if not isinstance(lag, Lag):
        return []
    columns = (moment.view.level_c, moment.view.rate_c_per_min)
    x, (level_c, rate) = _since(moment, max(lag.from_s - charge_s, 0.0), *columns)
    beans_c = level_c + lag.tau_s / SECONDS_PER_MINUTE * rate
    shown = in_degrees(beans_c, degrees)
    return [Series("lag-corrected", x, shown, ink=Ink.BEAN, pattern=Pattern.SPARSE, priority=5)]


def _others(x: Curve, columns: list[Curve], moment: Moment, degrees: Degrees) -> list[Series]:
    """Further channels, quietly behind everything else; `columns` as in the view's `extras`."""
    return [
        Series(spoken(name), x, in_degrees(column, degrees), ink=Ink.QUIET, pattern=pattern)
        for name, column, pattern in zip(moment.view.extras, columns, cycle(_QUIET), strict=False)
    ]


def _since(moment: Moment, elapsed_s: float, *columns: Curve) -> tuple[Curve, list[Curve]]:
    """Elapsed times from `elapsed_s` on, and the same part of some columns.

    Where nothing was heard for a while NaN stands in between: nobody knows what the beans did.
    """
    charge_s = moment.view.charge_s or 0.0
    first = int(np.searchsorted(moment.view.time_s, charge_s + elapsed_s))
    x = moment.view.time_s[first:] - charge_s
    step_s = np.diff(x)
    if not step_s.size or step_s.max() <= _SILENT_S:
        return x, [column[first:] for column in columns]
    longest_s = max(_SILENT_S, _SILENT_STEPS * float(np.median(step_s)))
    silent = np.flatnonzero(step_s > longest_s) + 1
    broken = [np.insert(column[first:], silent, np.nan) for column in columns]
    return np.insert(x, silent, x[silent - 1]), broken


def _ahead(moment: Moment) -> tuple[Curve, Curve]:
    """The deviation expected in the next minute: today's trend, fading."""
    sample = moment.sample
    nothing = np.empty(0)
    if sample is None or sample.elapsed_s is None or MarkName.DROP in moment.marks:
        return nothing, nothing
    rate, expected = sample.rate_c_per_min, sample.reference_rate_c_per_min
    if sample.deviation_c is None or rate is None or expected is None:
        return nothing, nothing
    seconds = np.arange(0.0, LANE_AHEAD_S, 2.0)
    trend = (rate - expected) / SECONDS_PER_MINUTE
    gained = np.array([faded(s) for s in seconds.tolist()])
    return sample.elapsed_s + seconds, sample.deviation_c + trend * gained


def _marks(moment: Moment) -> list[VerticalMark]:
    placed = [
        VerticalMark(at_s, SHORT[MarkName(name)])
        for name, at_s in moment.marks.items()
        if name in SHORT
    ]
    expected = moment.view.forecasts.get(MarkName.FIRST_CRACK)
    if expected is not None and not {MarkName.FIRST_CRACK, MarkName.DROP} & set(moment.marks):
        placed.append(VerticalMark(expected.at_s, "1st crack?", Ink.QUIET))
    return placed


def in_degrees(values_c: Curve, degrees: Degrees) -> Curve:
    """Temperatures as they are shown."""
    return values_c * degrees.per_c + degrees.zero
