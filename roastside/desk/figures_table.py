"""The table of figures in a report."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from roastside.core.findings import clock
from roastside.core.readings import MarkName, Stage
from roastside.core.side_by_side import RoastFigures
from roastside.core.units import Degrees
from roastside.desk.roast_story import RoastStory

_UNKNOWN = "–"

_MOMENTS = (
    (MarkName.TURNING_POINT, "Turning point"),
    (MarkName.YELLOWING, "Yellowing"),
    (MarkName.FIRST_CRACK, "First crack"),
    (MarkName.DROP, "Drop"),
)
Row = tuple[str, ...]
"""Name, this roast, the reference, the difference."""


def figures_table(story: RoastStory, degrees: Degrees) -> str:
    """The figures of a roast beside those of its reference, if it has one, as an HTML table."""
    reference = story.reference_figures
    heads = ["", "this roast"] + (["reference", "difference"] if reference else [])
    rows = list(_figure_rows(story.figures, reference, degrees))
    if reference is not None:
        if story.worst_c is not None:
            rows.append(("Worst departure", _signed(story.worst_c, degrees), "", ""))
        if story.within_share is not None:
            rows.append(("Inside the corridor", f"{100.0 * story.within_share:.0f} %", "", ""))
    return _table(heads, [row[: len(heads)] for row in rows])


def _figure_rows(own: RoastFigures, other: RoastFigures | None, degrees: Degrees) -> Iterable[Row]:
    theirs_c = None if other is None else other.charge_c
    yield _temperature_row("Charge temperature", own.charge_c, theirs_c, degrees)
    for mark, name in _MOMENTS:
        a, b = own.moments.get(mark), None if other is None else other.moments.get(mark)
        if a is None and b is None:
            continue
        at = _duration_row(name, a.at_s if a else None, b.at_s if b else None)
        heat = _temperature_row(name, a.bean_c if a else None, b.bean_c if b else None, degrees)
        yield name, *(_both(x, y) for x, y in zip(at[1:], heat[1:], strict=True))
    for stage in (Stage.DRYING, Stage.BROWNING, Stage.DEVELOPMENT):
        mine, their = own.stages.get(stage), None if other is None else other.stages.get(stage)
        if mine is None and their is None:
            continue
        yield _duration_row(
            stage.capitalize(),
            mine.lasted_s if mine else None,
            their.lasted_s if their else None,
        )
    ratios = own.development_ratio, None if other is None else other.development_ratio
    if ratios[0] is not None or ratios[1] is not None:
        told = [_UNKNOWN if r is None else f"{100.0 * r:.1f} %" for r in ratios]
        gap = _UNKNOWN
        if ratios[0] is not None and ratios[1] is not None:
            gap = _with_sign(100.0 * (ratios[0] - ratios[1]), 1, "%")
        yield "Development ratio", told[0], told[1], gap


def _both(at: str, heat: str) -> str:
    return _UNKNOWN if at == _UNKNOWN else f"{at}, {heat}"


def _duration_row(name: str, own_s: float | None, other_s: float | None) -> Row:
    told = [_UNKNOWN if s is None else clock(s) for s in (own_s, other_s)]
    gap = _UNKNOWN
    if own_s is not None and other_s is not None:
        gap = _with_sign(own_s - other_s, 0, "s")
    return name, told[0], told[1], gap


def _temperature_row(
    name: str, own_c: float | None, other_c: float | None, degrees: Degrees
) -> Row:
    told = [
        _UNKNOWN if c is None else f"{degrees.temperature(c):.1f} {degrees.unit}"
        for c in (own_c, other_c)
    ]
    gap = _UNKNOWN
    if own_c is not None and other_c is not None:
        gap = _signed(own_c - other_c, degrees)
    return name, told[0], told[1], gap


def _signed(difference_c: float, degrees: Degrees) -> str:
    return _with_sign(difference_c * degrees.per_c, 1, degrees.unit)


def _with_sign(value: float, decimals: int, unit: str) -> str:
    # Rounded first: what is shown as nought has no sign.
    shown = round(value, decimals) or 0.0
    sign = "+" if shown > 0.0 else "−" if shown < 0.0 else ""
    return f"{sign}{abs(shown):.{decimals}f} {unit}"


def _table(heads: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    head = "".join(f"<th>{escape(each)}</th>" for each in heads)
    body = "".join(f"<tr>{''.join(f'<td>{escape(c)}</td>' for c in row)}</tr>" for row in rows)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
