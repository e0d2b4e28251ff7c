"""The glance line and the stage bar of the Roast screen, from a moment."""

from __future__ import annotations

from collections.abc import Mapping

from roastside.app.draw.stages import StageBarData, StageSegment, browning, development, drying
from roastside.app.moment import Moment, Next
from roastside.app.widgets.figures import Figure
from roastside.app.words import clock, plain, signed
from roastside.core.events import StageSpan
from roastside.core.readings import MarkName, Stage
from roastside.core.stages import stage_spans
from roastside.core.surely import NINE_IN_TEN
from roastside.core.units import Degrees

STALE_AFTER_S = 3.0

_WORTH_TELLING_S = 2.0

_NEAR_S = 120.0
"""So far ahead it is measured that forecasts are as sure as they say (benchmarks/forecast.py)."""

# The widest texts to come, so that a figure keeps its place while its text grows and shrinks.
_TIME, _TEMPERATURE, _RATE, _SECONDS = "88:88", "888", "88.8", "−88"

_SEGMENTS = {Stage.DRYING: drying, Stage.BROWNING: browning, Stage.DEVELOPMENT: development}


def figures(moment: Moment, degrees: Degrees) -> list[Figure]:
    """The large figures: elapsed, bean, rate, seconds ahead or behind, and what comes next."""
    return [
        _elapsed(moment),
        _bean(moment, degrees),
        _rate(moment, degrees),
        _pace(moment),
        _coming(moment),
    ]


def stage_bar(moment: Moment) -> StageBarData:
    """The stages so far against those of the reference."""
    elapsed_s = moment.elapsed_s
    reference = moment.reference
    planned: list[StageSegment] = []
    if reference is not None:
        planned = _segments(stage_spans(reference.marks, reference.end_s))
    if elapsed_s is None:
        return StageBarData((), planned)
    return StageBarData(_segments(stage_spans(moment.marks, elapsed_s)), planned)


def _elapsed(moment: Moment) -> Figure:
    if moment.view.summary is not None:
        caption = "over"
    elif moment.development_s is not None and moment.stage is Stage.DEVELOPMENT:
        caption = f"since crack {clock(moment.development_s)}"
    else:
        caption = str(moment.stage)
    return Figure(caption, clock(moment.elapsed_s), priority=4, widest=_TIME)


def _bean(moment: Moment, degrees: Degrees) -> Figure:
    sample = moment.sample
    if sample is None:
        return Figure("bean: no reading", "--", degrees.unit, "warn", 5, _TEMPERATURE)
    if moment.stale_s > STALE_AFTER_S:
        caption = f"▲ bean {moment.stale_s:.0f} s old"
        return Figure(caption, "--", degrees.unit, "bad", 5, _TEMPERATURE)
    if any(alert.alert == "probe_open" for alert in moment.view.standing):
        return Figure("▲ probe open", "--", degrees.unit, "bad", 5, _TEMPERATURE)
    # Whole degrees: tenths are noise from three metres, and the corridor shows far less than one.
    text = plain(degrees.temperature(sample.bean_c))
    return Figure("bean", text, degrees.unit, "plain", 5, _TEMPERATURE)


def _rate(moment: Moment, degrees: Degrees) -> Figure:
    """The rate of rise, from the turning point to the drop; elsewhere it says nothing of use."""
    sample, marks = moment.sample, moment.marks
    rising = MarkName.TURNING_POINT in marks and MarkName.DROP not in marks
    if sample is None or not rising or moment.stale_s > STALE_AFTER_S:
        return Figure("rate /min", "" if MarkName.DROP in marks else "--", "", "plain", 2, _RATE)
    expected = degrees.difference(sample.reference_rate_c_per_min)
    caption = "rate /min" if expected is None else f"rate ref {plain(expected, 1)}"
    text = plain(degrees.difference(sample.rate_c_per_min), 1)
    return Figure(caption, text, "", "plain", 2, _RATE)


def _pace(moment: Moment) -> Figure:
    sample = moment.sample
    if moment.reference is None:
        return Figure("no reference", "", "", "plain", 0, _SECONDS)
    if sample is None or sample.ahead_s is None or MarkName.DROP in moment.marks:
        return Figure("", "", "", "plain", 3, _SECONDS)
    if moment.stale_s > STALE_AFTER_S:
        return Figure("ahead, behind", "--", "s", "plain", 3, _SECONDS)
    ahead_s, surely_s = sample.ahead_s, sample.surely_ahead_s or 0.0
    where = "on time" if abs(round(ahead_s)) == 0 else "ahead" if ahead_s > 0.0 else "behind"
    where += _give_or_take(sample.ahead_sd_s)
    if abs(surely_s) <= moment.plan.tolerance_s:
        return Figure(where, signed(ahead_s), "s", "good", 3, _SECONDS)
    sign = "▲" if ahead_s > 0.0 else "▼"
    return Figure(f"{sign} {where}", signed(ahead_s), "s", "warn", 3, _SECONDS)


def _give_or_take(sd_s: float | None) -> str:
    """By how much the seconds may be off, nine times in ten; nothing where that is hardly any."""
    reach_s = 0.0 if sd_s is None else round(NINE_IN_TEN * sd_s)
    return f" ±{reach_s:.0f}" if reach_s >= _WORTH_TELLING_S else ""


def _in_about(coming: Next) -> str:
    """That a time to come stands below, and by how much it may be off where that is worth telling.

    Both would be wider than the figure.
    """
    near = coming.in_s is not None and coming.in_s <= _NEAR_S
    return (_give_or_take(coming.sd_s) if near else "") or " in"


def _coming(moment: Moment) -> Figure:
    coming = moment.next
    developed_s, ratio = moment.development_s, moment.development_ratio
    share = "" if ratio is None else f" {100.0 * ratio:.1f} %"
    ended = coming.name == "dropped" or moment.view.summary is not None
    if ended:
        text = "" if developed_s is None else clock(developed_s)
        return Figure(f"development{share}" if text else "", text, "", "plain", 4, _TIME)
    if developed_s is None and coming.in_s is not None and moment.stale_s > STALE_AFTER_S:
        return Figure(f"{coming.name} in", "--", "", "plain", 4, _TIME)
    if developed_s is None:
        words = coming.name if coming.in_s is None else coming.name + _in_about(coming)
        return Figure(words, clock(coming.in_s), "", "plain", 4, _TIME)
    if coming.in_s is None:
        return Figure(f"since crack{share}", clock(developed_s), "", "plain", 4, _TIME)
    late = coming.in_s <= 0.0
    caption = f"▲ drop now{share}" if late else f"drop in,{share}"
    return Figure(caption, clock(coming.in_s), "", "bad" if late else "good", 4, _TIME)


def _segments(spans: Mapping[str, StageSpan]) -> list[StageSegment]:
    return [_SEGMENTS[Stage(name)](span.seconds) for name, span in spans.items()]
