"""A past roast in lines of text: its figures, what was written down, how it compares."""

from __future__ import annotations

from collections.abc import Sequence

from roastside.app.words import clock, plain, signed
from roastside.book.rows import Roast
from roastside.core.side_by_side import RoastFigures, comparison_words
from roastside.core.units import Degrees
from roastside.live.overlay import StageLine, stage_lines
from roastside.live.past_roast import PastRoast

_LABEL, _VALUE = 16, 16
_TWO_COLUMNS = 2 * (_LABEL + _VALUE)


def head_of(roast: Roast) -> str:
    """What and when, on one line."""
    when = (roast.started_at or "")[:16].replace("T", " ")
    parts = (roast.title, when, roast.roasted_by and f"by {roast.roasted_by}", roast.verdict)
    return " · ".join(part for part in parts if part)


def unfinished_words(roast: Roast) -> str:
    """What is still to be filled in, as a sentence; empty if nothing is."""
    wanted = ", ".join(roast.unfinished)
    return f"Still to fill in: {wanted} (e)." if wanted else ""


def page_lines(roast: Roast, past: PastRoast | None, degrees: Degrees, width: int) -> list[str]:
    """All there is to read of a roast."""
    blocks = [figure_lines(roast, degrees, width)]
    if roast.remarks:
        blocks.append([f"Remarks: {roast.remarks}"])
    if past is not None and past.notes:
        blocks.append(["Written down during the roast:", *past.notes])
    if past is not None:
        blocks.append(["The rate of rise:", *past.findings])
    return "\n\n".join("\n".join(block) for block in blocks if block).split("\n")


def figure_lines(roast: Roast, degrees: Degrees, width: int) -> list[str]:
    """The figures that are known, in two columns where there is room."""
    names = [f"{label:<{_LABEL}}{value}" for label, value in _names(roast) if value]
    cells = [
        f"{label:<{_LABEL}}{value:<{_VALUE}}" for label, value in _figures(roast, degrees) if value
    ]
    half = len(cells) if width < _TWO_COLUMNS else (len(cells) + 1) // 2
    right = [*cells[half:], *[""] * half]
    return names + [(left + right[n]).rstrip() for n, left in enumerate(cells[:half])]


def compared(
    first: RoastFigures, second: RoastFigures, degrees: Degrees, *, what: str = ""
) -> list[str]:
    """How the second differs from the first: the stages in numbers, then all of it in words."""
    return [
        what or f"{second.title} against {first.title}:",
        *_stage_table(stage_lines(first, second)),
        "",
        *comparison_words(first, second, degrees),
    ]


def _stage_table(lines: Sequence[StageLine]) -> list[str]:
    head = f"{'':<12}{'first':>6}{'this':>6}{'longer':>8}"
    return [
        head,
        *(
            f"{line.name:<12}{clock(line.first_s):>6}{clock(line.second_s):>6}"
            f"{_seconds(line.longer_s):>8}"
            for line in lines
        ),
    ]


def _names(roast: Roast) -> list[tuple[str, str]]:
    return [
        ("coffee", roast.coffee),
        ("lot", roast.lot),
        ("reference", roast.reference_title),
    ]


def _figures(roast: Roast, degrees: Degrees) -> list[tuple[str, str]]:
    return [
        ("total", clock(roast.total_s) if roast.total_s else ""),
        ("turning point", _moment(roast.turning_point_s, roast.turning_point_c, degrees)),
        ("yellowing", _moment(roast.yellowing_s, roast.yellowing_c, degrees)),
        ("first crack", _moment(roast.first_crack_s, roast.first_crack_c, degrees)),
        ("charge", _temperature(roast.charge_c, degrees)),
        ("drop", _temperature(roast.drop_c, degrees)),
        ("drying", _percent(roast.drying_share)),
        ("browning", _percent(roast.browning_share)),
        ("development", _development(roast)),
        ("worst departure", _departure(roast.worst_departure_c, degrees)),
        ("in the corridor", _percent(roast.within_share)),
        ("charge weight", _weight(roast.charge_weight_g)),
        ("roasted weight", _weight(roast.roasted_weight_g)),
        ("roast loss", _percent(roast.loss)),
        ("colour", "" if roast.colour is None else f"{roast.colour:g}"),
        ("cup score", "" if roast.cup_score is None else f"{roast.cup_score:g}"),
        ("verdict", roast.verdict),
    ]


def _moment(at_s: float | None, bean_c: float | None, degrees: Degrees) -> str:
    if at_s is None:
        return ""
    return f"{clock(at_s)}  {_temperature(bean_c, degrees)}".rstrip()


def _temperature(value_c: float | None, degrees: Degrees) -> str:
    return "" if value_c is None else f"{plain(degrees.temperature(value_c), 1)} {degrees.unit}"


def _departure(value_c: float | None, degrees: Degrees) -> str:
    return "" if value_c is None else f"{signed(degrees.difference(value_c), 1)} {degrees.unit}"


def _development(roast: Roast) -> str:
    if roast.development_s is None:
        return ""
    return f"{clock(roast.development_s)}  {_percent(roast.development_ratio)}".rstrip()


def _percent(share: float | None) -> str:
    return "" if share is None else f"{100.0 * share:.1f} %"


def _weight(value_g: float | None) -> str:
    return "" if value_g is None else f"{round(value_g, 1):,.10g} g"


def _seconds(value_s: float | None) -> str:
    return "" if value_s is None else f"{signed(value_s)} s"
