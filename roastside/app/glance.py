"""The glance line, stage bar, status line and log of the Roast screen, from a moment."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from textwrap import wrap

from rich.text import Text

from roastside.app.draw.stages import StageBarData, StageSegment, browning, development, drying
from roastside.app.moment import Moment
from roastside.app.widgets.figures import Figure
from roastside.app.words import clock, named, plain, signed
from roastside.core.events import StageSpan
from roastside.core.readings import MarkName, Stage
from roastside.core.stages import stage_spans
from roastside.core.units import Degrees
from roastside.live.board import Line, View
from roastside.live.roast import LiveRoast
from roastside.sound.ringer import gravest

STALE_AFTER_S = 3.0

_SEGMENTS = {Stage.DRYING: drying, Stage.BROWNING: browning, Stage.DEVELOPMENT: development}


def figures(moment: Moment, degrees: Degrees) -> list[Figure]:
    """The large figures: elapsed, bean, rate, seconds ahead or behind, and what comes next."""
    return [
        Figure(_stage_words(moment), clock(moment.elapsed_s), priority=4),
        _bean(moment, degrees),
        _rate(moment, degrees),
        _pace(moment),
        *_coming(moment),
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


def log_text(view: View, rows: int, width: int) -> Text:
    """The gravest standing alert, then the newest lines of the log that fit, newest at the bottom.

    Each line bears its elapsed time; the grave ones bear a sign as well as a colour.
    """
    room = max(width - _LOG_INDENT, 10)
    standing = gravest(view.standing)
    pinned: list[Text] = []
    lines = list(view.log)
    if standing is not None:
        line = Line(standing.time_s, str(standing.priority), standing.message)
        pinned = _log_block(line, view.charge_s, room)[: max(rows - 1, 1)]
        lines = [other for other in lines if other.text != standing.message]
    written: list[Text] = []
    for line in reversed(lines):
        block = _log_block(line, view.charge_s, room)
        if len(pinned) + len(written) + len(block) > rows:
            break
        written = block + written
    return Text("\n", no_wrap=True).join(pinned + written)


def _log_block(line: Line, charge_s: float | None, room: int) -> list[Text]:
    sign, style = _LOG_LOOKS.get(line.tone, ("  ", ""))
    at = clock(line.time_s - (charge_s or 0.0))
    parts = wrap(line.text, room) or [""]
    block = [Text.assemble((f"{at:>6} {sign} ", "dim"), (parts[0], style))]
    return block + [Text(" " * _LOG_INDENT + part, style=style) for part in parts[1:]]


_LOG_INDENT = 10

_LOG_LOOKS: Mapping[str, tuple[str, str]] = {
    "mark": ("◆ ", "bold"),
    "low": ("· ", ""),
    "medium": ("! ", "#F0E442"),
    "high": ("!!", "bold #E69F00"),
    "critical": ("!!", "bold reverse #D55E00"),
    "warn": ("! ", "#F0E442"),
}


def verdict(moment: Moment, degrees: Degrees) -> str:
    """The roast in one sentence, once it is over."""
    summary = moment.view.summary
    if summary is None:
        return ""
    if summary.duration_s is None:
        return f"Over without a charge: {summary.readings} readings."
    parts = [f"{clock(summary.duration_s)} from charge to "]
    parts[0] += "drop" if MarkName.DROP in summary.marks else "the end"
    for stage, span in summary.stages.items():
        parts.append(f"{stage} {clock(span.seconds)} ({span.share:.0%})")
    if summary.max_deviation_c is not None:
        worst = plain(degrees.difference(summary.max_deviation_c), 1)
        parts.append(f"at most {worst} {degrees.unit} from the reference")
    return ", ".join(parts) + "."


def _stage_words(moment: Moment) -> str:
    if moment.view.summary is not None:
        return "over"
    if moment.stage is Stage.PREHEAT:
        return "preheat"
    return str(moment.stage)


def _bean(moment: Moment, degrees: Degrees) -> Figure:
    sample = moment.sample
    if sample is None:
        return Figure("bean: no reading yet", "--", degrees.unit, "warn", 5)
    if moment.stale_s > STALE_AFTER_S:
        return Figure(f"▲ bean {moment.stale_s:.0f} s old", "--", degrees.unit, "bad", 5)
    return Figure("bean", plain(degrees.temperature(sample.bean_c), 1), degrees.unit, "plain", 5)


def _rate(moment: Moment, degrees: Degrees) -> Figure:
    sample = moment.sample
    unknown = sample is None or moment.stale_s > STALE_AFTER_S or MarkName.DROP in moment.marks
    rate = None if sample is None or unknown else sample.rate_c_per_min
    caption = "rate /min"
    if sample is not None and sample.reference_rate_c_per_min is not None:
        caption = f"rate (ref {plain(degrees.difference(sample.reference_rate_c_per_min), 1)})"
    return Figure(caption, plain(degrees.difference(rate), 1), "", "plain", 2)


def _pace(moment: Moment) -> Figure:
    sample = moment.sample
    ahead_s = None if sample is None or MarkName.DROP in moment.marks else sample.ahead_s
    if moment.reference is None:
        return Figure("no reference", "--", "", "plain", 0)
    if ahead_s is None:
        return Figure("ahead / behind", "--", "s", "plain", 3)
    where = "on time" if abs(round(ahead_s)) == 0 else "ahead" if ahead_s > 0.0 else "behind"
    if abs(ahead_s) <= moment.plan.tolerance_s:
        return Figure(where, signed(ahead_s), "s", "good", 3)
    sign = "▲" if ahead_s > 0.0 else "▼"
    return Figure(f"{sign} {where}", signed(ahead_s), "s", "warn", 3)


def _coming(moment: Moment) -> list[Figure]:
    coming = moment.next
    if coming.name == "dropped":
        last_s = moment.development_s
        ratio = moment.development_ratio
        share = "" if ratio is None else f" {ratio:.1%}"
        return [Figure(f"development{share}", clock(last_s), "", "plain", 3)]
    if moment.development_s is None:
        words = coming.name if coming.in_s is None else f"{coming.name} in"
        return [Figure(words, clock(coming.in_s), "", "plain", 3)]
    ratio = moment.development_ratio or 0.0
    late = coming.in_s is not None and coming.in_s <= 0.0
    caption = "▲ drop now" if late else "drop in"
    return [
        Figure(f"since crack {ratio:.1%}", clock(moment.development_s), "", "plain", 3),
        Figure(caption, clock(coming.in_s), "", "bad" if late else "good", 4),
    ]


def _segments(spans: Mapping[str, StageSpan]) -> list[StageSegment]:
    return [_SEGMENTS[Stage(name)](span.seconds) for name, span in spans.items()]


def named_mark(mark: str | None) -> str:
    """A mark's name for a notice, or that there is none."""
    return "no mark yet" if mark is None else named(mark)


@dataclass(frozen=True, slots=True)
class Control:
    """A control as written down: `value` a number, `note` its name and unit."""

    value: str
    note: str


def control_words(text: str) -> Control | None:
    """`heat 70` or `70 heat` as a control; None if it has no name or no number."""
    words = text.replace("%", " ").replace(",", ".").split()
    numbers = [word for word in words if _is_number(word)]
    names = [word for word in words if not _is_number(word)]
    if len(numbers) != 1 or not names:
        return None
    return Control(numbers[0], f"{' '.join(names)} %")


def _is_number(word: str) -> bool:
    return bool(re.fullmatch(r"\d{1,4}(\.\d+)?", word))


def status(roast: LiveRoast, moment: Moment, hushed_for_s: float, width: int) -> Text:
    """One line: what is heard, what it is held against, where it is kept, and any hush."""
    left = [roast.source.name]
    if roast.reference is not None:
        left.append(f"against {roast.reference.title}")
    right = []
    if hushed_for_s > 0.0:
        right.append(f"hushed {clock(hushed_for_s)}")
    if getattr(roast.source, "hint", "") and moment.development_s is None:
        right.append(f"{roast.source.hint} Press f.")  # type: ignore[attr-defined]
    if roast.recorder is None:
        right.append("not recorded")
    else:
        right.append("! not stored" if roast.recorder.fault else "● recording")
    if moment.view.summary is not None:
        right = ["over: q leaves"]
    ending = "  ".join(right)
    line = Text(" · ".join(left), no_wrap=True)
    line.truncate(max(width - len(ending) - 4, 1), overflow="ellipsis", pad=True)
    return line.append("  ").append(ending, style="bold")
