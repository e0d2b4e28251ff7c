"""What the Roast screen says in words: status line, log, questions, and the last word."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from textwrap import wrap

from rich.text import Text

from roastside.app.glance import STALE_AFTER_S
from roastside.app.moment import Moment
from roastside.app.words import clock, plain
from roastside.core.alert_count import alert_count
from roastside.core.lag import Lag, worth
from roastside.core.readings import MarkName
from roastside.core.units import Degrees
from roastside.live.board import Line, View
from roastside.live.hearing import Hearing
from roastside.live.roast import LiveRoast
from roastside.probes.channels import spoken
from roastside.sound.ringer import gravest

_LOG_INDENT = 10
NOW = "now"
"""Stands where other lines bear the time they were written at."""

_LOG_LOOKS: Mapping[str, tuple[str, str]] = {
    "mark": ("◆ ", "bold"),
    "low": ("· ", ""),
    "medium": ("! ", "#F0E442"),
    "high": ("!!", "bold #E69F00"),
    "critical": ("!!", "bold reverse #D55E00"),
    "warn": ("! ", "#F0E442"),
    "hint": ("► ", "bold reverse"),
}


def log_text(view: View, hint: str, rows: int, width: int) -> Text:
    """A hint and the gravest standing alert, then the newest lines of the log that still fit.

    The newest is at the bottom. Each line bears its elapsed time; the grave ones bear a sign as
    well as a colour. Standing alerts speak of this moment, not of the one they were raised at, and
    say so.
    """
    room = max(width - _LOG_INDENT, 10)
    pinned: list[Text] = []
    lines = list(view.log)
    if hint and view.last is not None:
        pinned += _block(Line(view.last.time_s, "hint", hint), view.charge_s, room, at=NOW)
    standing = gravest(view.standing) if view.summary is None else None
    if standing is not None:
        said = view.said.get(standing.alert, standing.message)
        line = Line(standing.time_s, str(standing.priority), said)
        pinned += _block(line, view.charge_s, room, at=NOW)
        lines = [other for other in lines if other.text != standing.message]
    pinned = pinned[:rows]
    written: list[Text] = []
    for n, line in reversed(list(enumerate(lines))):
        left = rows - len(pinned) - len(written)
        goes_on = n > 0 and line.topic != "" and line.topic == lines[n - 1].topic
        block = _block(line, view.charge_s, room, goes_on)
        if len(block) > left:
            if left > 0 and not written:
                written = _block(line, view.charge_s, room, goes_on, left)
            break
        written = block + written
    return Text("\n", no_wrap=True).join(pinned + written)


def _block(
    line: Line,
    charge_s: float | None,
    room: int,
    goes_on: bool = False,
    rows: int | None = None,
    at: str | None = None,
) -> list[Text]:
    """A line in as many rows as it needs, or `rows` at most, cut with a sign.

    One that goes on with the topic of the line before it bears no time of its own. `at`: in place
    of its time.
    """
    sign, style = _LOG_LOOKS.get(line.tone, ("  ", ""))
    if at is None:
        at = "" if goes_on else clock(line.time_s - (charge_s or 0.0))
    parts = wrap(line.text, room, max_lines=rows, placeholder=" …") or [""]
    block = [Text.assemble((f"{at:>6} {sign} ", "dim"), (parts[0], style))]
    return block + [Text(" " * _LOG_INDENT + part, style=style) for part in parts[1:]]


def status(roast: LiveRoast, moment: Moment, ears: str, said: str, width: int) -> Text:
    """One line: what is heard, what it is held against, where it is kept, and what `ears` says.

    Something just `said` to the person takes the place of all that for a while.
    """
    left = roast.title
    if roast.reference is not None:
        left += f" · against {roast.reference.title}"
    right = "● recording"
    if moment.view.summary is not None:
        right = "over: q leaves"
    elif roast.recorder is None:
        right = "replay" if roast.is_past else "not recorded"
    elif roast.recorder.fault:
        right = "! not stored"
    others = other_probes(moment)
    # What was just said is read now; what the other probes measure can wait until it is gone.
    if others and len(said) + len(others) + len(right) < (width - 6 if said else 2 * width // 3):
        right = f"{others}  {right}"
    if ears:
        right = f"{ears}  {right}"
    line = Text(said or left, style="bold reverse" if said else "", no_wrap=True)
    line.truncate(max(width - len(right) - 4, 1), overflow="ellipsis", pad=True)
    return Text.assemble(line, "  ", (right, "bold"))


def ears(hearing: Hearing) -> str:
    """What keeps sounds from being heard just now, as long as it does; empty if nothing."""
    hushed_for_s = hearing.hushed_for_s()
    lost = "! no sound" if hearing.lost_sound else ""
    hushed = f"hushed {clock(hushed_for_s)}" if hushed_for_s > 0.0 else ""
    return "  ".join(filter(None, (lost, hushed)))


def other_probes(moment: Moment) -> str:
    """What the probes besides the bean's measure just now, in whole degrees."""
    sample = moment.sample
    if sample is None or moment.view.summary is not None or moment.stale_s > STALE_AFTER_S:
        return ""
    degrees = moment.plan.degrees
    air = {} if sample.air_c is None else {"air": sample.air_c}
    words = [
        f"{spoken(name)} {plain(degrees.temperature(value_c), 0)}"
        for name, value_c in (air | dict(sample.extra)).items()
    ]
    return f"{'  '.join(words)} {degrees.unit}" if words else ""


def hint(roast: LiveRoast, moment: Moment) -> str:
    """What a person beside a practice roaster would hear, and what to do about it."""
    heard = getattr(roast.source, "hint", "")
    return f"{heard} Press f." if heard and moment.development_s is None else ""


def lag_words(moment: Moment, degrees: Degrees) -> str:
    """What the lag-corrected curve is worth just now, or why there is none."""
    lag, rate = moment.view.lag, moment.rate_c_per_min
    if isinstance(lag, Lag):
        return worth(lag, rate or 0.0, degrees)
    if lag is not None:
        return lag.reason
    return "The lag-corrected curve comes a minute past the turning point."


def verdict(moment: Moment, degrees: Degrees) -> str:
    """The roast in one sentence, once it is over."""
    summary = moment.view.summary
    if summary is None:
        return ""
    if summary.readings == 0:
        return "Over: not one reading came."
    if summary.duration_s is None and MarkName.CHARGE in summary.marks:
        return f"Over as soon as it was charged, after {summary.readings} readings."
    if summary.duration_s is None:
        return f"Over without a charge, after {summary.readings} readings."
    end = "drop" if MarkName.DROP in summary.marks else "the end"
    parts = [f"{clock(summary.duration_s)} from charge to {end}"]
    for stage, span in summary.stages.items():
        parts.append(f"{stage} {clock(span.seconds)} ({100.0 * span.share:.0f} %)")
    if summary.max_deviation_c is not None:
        worst = plain(degrees.difference(summary.max_deviation_c), 1)
        parts.append(f"at most {worst} {degrees.unit} from the reference")
    parts.append(alert_count(summary))
    return ", ".join(parts) + "."


def end_words(roast: LiveRoast) -> tuple[str, str]:
    """The question before a roast is ended, and what becomes of it."""
    if roast.is_past:
        return "Stop this replay?", "The recording stays as it is."
    if roast.recorder is None:
        return "End this roast?", "It is not being recorded."
    if roast.recorder.fault:
        return "End this roast?", f"Not all of it is stored yet: {roast.recorder.fault}"
    path = roast.recorder.path
    return "End this roast?", f"It is kept as {path.name}, in {path.parent}"


@dataclass(frozen=True, slots=True)
class Control:
    """A control as written down: `value` a number, `note` its name and unit."""

    value: str
    note: str


def control_words(text: str) -> Control | None:
    """`heat 70` or `70 heat` as a control; None if it has no name or not one number."""
    words = text.replace("%", " ").replace(",", ".").split()
    numbers = [word for word in words if _is_number(word)]
    names = [word for word in words if not _is_number(word)]
    if len(numbers) != 1 or not names:
        return None
    return Control(numbers[0], f"{' '.join(names)} %")


def _is_number(word: str) -> bool:
    return bool(re.fullmatch(r"\d{1,4}(\.\d+)?", word))
