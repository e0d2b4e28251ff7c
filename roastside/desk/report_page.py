"""A roast on one page, as HTML to print or to send."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from html import escape

from roastside.core.findings import clock
from roastside.core.units import Degrees
from roastside.desk.curve_picture import STYLE as PICTURE_STYLE
from roastside.desk.curve_picture import curve_picture
from roastside.desk.figures_table import figures_table
from roastside.desk.roast_story import Remark, RoastStory

_FACTS = (
    ("coffee", "Coffee"),
    ("lot", "Lot"),
    ("reference", "Reference"),
    ("roasted_by", "Roasted by"),
    ("colour", "Colour"),
    ("cup_score", "Cup score"),
    ("verdict", "Verdict"),
)

_MOST_REMARKS, _LONGEST_TEXT = 12, 600
"""With more of them, or longer ones, the report would not stay on one page."""

_WEIGHTS = ("charge_weight_g", "roasted_weight_g")

REPORT_HEAD = (
    '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
    '<meta name="generator" content="roastside report">\n'
)
"""Begins every report."""

_STYLE = """
@page { margin: 12mm; }
* { box-sizing: border-box; }
body { font: 13px/1.4 system-ui, sans-serif; color: #222; background: #fff; margin: 24px auto;
  max-width: 186mm; padding: 0 8px;
  overflow-wrap: anywhere; }
h1 { font-size: 22px; margin: 0; }
h2 { font-size: 14px; margin: 14px 0 4px; border-bottom: 2px solid #222; break-after: avoid; }
p { margin: 4px 0; }
.when { color: #555; margin: 0 0 8px; }
dl { display: flex; flex-wrap: wrap; gap: 2px 22px; margin: 0 0 8px; }
dl div { display: flex; gap: 6px; } dt { color: #555; }
dd { margin: 0; min-width: 0; font-weight: 600; }
svg { width: 100%; height: auto; display: block; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: right; white-space: nowrap; padding: 1px 8px; border-bottom: 1px solid #ddd; }
th:first-child, td:first-child, td.words { text-align: left; }
td.words { white-space: normal; width: 100%; }
thead th { border-bottom: 1px solid #222; font-weight: 600; }
ul { margin: 4px 0; padding-left: 18px; }
.two { display: grid; grid-template-columns: 1fr 1fr; gap: 0 24px; }
section { break-inside: avoid; }
footer { margin-top: 12px; color: #555; font-size: 11px; }
@media print {
  body { margin: 0; padding: 0; max-width: none; font-size: 10px; line-height: 1.25; }
  h1 { font-size: 14px; line-height: 1.2; }
  h2 { margin-top: 8px; font-size: 12px; }
  th, td { padding: 0 8px; }
  svg { max-height: 84mm; }
}
"""


def report_page(story: RoastStory, degrees: Degrees) -> str:
    """The page: self-contained, without scripts, all text of people and files escaped."""
    title = escape(story.title)
    body = "\n".join(
        [
            f"<h1>{title}</h1>",
            f'<p class="when">{escape(_when(story.header.get("started_at", "")))}</p>',
            _facts(story),
            curve_picture(story, degrees),
            _section("Figures", figures_table(story, degrees)),
            '<div class="two">',
            _section("What the rate did", _sentences(story.findings)),
            _differences(story),
            _section("Controls", _remarks(story.controls, degrees)) if story.controls else "",
            _section("Notes", _notes(story, degrees)),
            "</div>",
            "<footer>Made by roastside from the roast's own recording. Temperatures are what the "
            "probes showed.</footer>",
        ]
    )
    return (
        f'{REPORT_HEAD}<meta name="viewport" content="width=device-width">\n'
        f"<title>{title}</title>\n<style>{_STYLE}{PICTURE_STYLE}</style>\n</head>\n"
        f"<body>\n{body}\n</body>\n</html>\n"
    )


def _when(text: str) -> str:
    try:
        began = datetime.fromisoformat(text)
    except ValueError:
        return text
    return f"{began.day} {began:%B %Y, %H:%M}"


def _facts(story: RoastStory) -> str:
    told = [(words, story.header.get(key, "")) for key, words in _FACTS]
    green, roasted = (_grams(story.header.get(key, "")) for key in _WEIGHTS)
    if green:
        told.append(("Green", f"{green:,.0f} g"))
    if roasted:
        told.append(("Roasted", f"{roasted:,.0f} g"))
    if green and roasted:
        told.append(("Loss", f"{100.0 * (green - roasted) / green:.1f} %"))
    pairs = (
        f"<div><dt>{words}</dt><dd>{escape(value)}</dd></div>" for words, value in told if value
    )
    return f"<dl>{''.join(pairs)}</dl>"


def _grams(text: str) -> float | None:
    try:
        grams = float(text)
    except ValueError:
        return None
    return grams if 0.0 < grams < 1e6 else None


def _differences(story: RoastStory) -> str:
    if story.reference is None:
        return ""
    return _section(f"Against {story.reference.title}", _sentences(story.differences))


def _notes(story: RoastStory, degrees: Degrees) -> str:
    remarks = story.header.get("remarks", "")
    parts = [f"<p>{escape(_short(remarks))}</p>"] if remarks else []
    if story.notes:
        parts.append(_remarks(story.notes, degrees))
    return "".join(parts) or "<p>None.</p>"


def _remarks(remarks: Sequence[Remark], degrees: Degrees) -> str:
    rows = []
    for remark in remarks[:_MOST_REMARKS]:
        at = clock(remark.elapsed_s) if remark.elapsed_s >= 0.0 else "before charge"
        bean_c = remark.bean_c
        told = "" if bean_c is None else f"{degrees.temperature(bean_c):.0f} {degrees.unit}"
        words = f'<td class="words">{escape(_short(remark.words))}</td>'
        rows.append(f"<tr><td>{at}</td><td>{told}</td>{words}</tr>")
    more = len(remarks) - _MOST_REMARKS
    rest = f"<p>And {more} more, in the recording.</p>" if more > 0 else ""
    return f"<table><tbody>{''.join(rows)}</tbody></table>{rest}"


def _short(text: str) -> str:
    if len(text) <= _LONGEST_TEXT:
        return text
    return f"{text[:_LONGEST_TEXT].rstrip()} … (more in the recording)"


def _section(head: str, content: str) -> str:
    return f"<section><h2>{escape(head)}</h2>{content}</section>"


def _sentences(sentences: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{escape(each)}</li>' for each in sentences)}</ul>"
