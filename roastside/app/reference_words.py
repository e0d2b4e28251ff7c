"""References in lines of text: the list of them, and the story of one, version by version."""

from __future__ import annotations

import re
from collections.abc import Sequence
from textwrap import wrap

from rich.text import Text

from roastside.app.draw.cells import shortened_within, text_width
from roastside.live.day_words import day_words
from roastside.live.reference_shelf import Shelved
from roastside.live.reference_story import Chapter, Curve, cup_words, earned_words

_FIGURES = (("versions", 8), ("roasts", 6), ("cup", 5), ("last roast", 10))
_ROOMY = 72
"""In narrower lists the day of the last roast gives way."""
_LEAST_NAME = 12
_RAIL = 4
"""Cells before the words of a chapter: the cursor, the rail, two blanks."""

_TOGETHER = re.compile(r"(?<=\d) (?=[°%s→])|(?<=→) |(?<=cup) (?=\d)")
"""Blanks at which no line is broken."""

HERE, RAIL, CURRENT, PAST = "›", "│", "●", "○"


def list_head(width: int) -> str:
    """The head of the list of references."""
    return _row(width, "coffee", f"{CURRENT} current {PAST} newest", [name for name, _ in _FIGURES])


def list_lines(shelved: Sequence[Shelved], width: int) -> list[str]:
    """A line for each reference; a coffee is named where it is not that of the line above."""
    lines, above = [], None
    for each in shelved:
        version, coffee = each.shown, each.shown.coffee or "no coffee"
        cup = each.earned.cup_score
        figures = [
            str(each.versions),
            str(each.roasts) if each.roasts else "",
            "" if cup is None else f"{cup:.1f}",
            (each.last_at or "")[:10],
        ]
        mark = CURRENT if version.is_current else PAST
        name = "" if coffee == above else coffee
        lines.append(_row(width, name, f"{mark} {version.title}", figures))
        above = coffee
    return lines


def chapter_text(chapter: Chapter, curve: Curve | None, width: int, here: bool, last: bool) -> Text:
    """A version as a chapter of the story, on a rail that leads from version to version."""
    version = chapter.version
    dot = CURRENT if version.is_current else PAST
    head = f"{HERE if here else ' '}{dot}  v{version.version}"
    told = Text().append(f"{head} · current" if version.is_current else head, style="bold")
    by = f"by {version.author}" if version.author else ""
    when = " ".join(filter(None, (day_words(version.made_at), by)))
    if when:
        told.append(f" · {when}")
    room = max(width - _RAIL, 8)
    for line, style in _chapter_lines(chapter, curve):
        for part in _wrapped(line, room):
            told.append(f"\n {' ' if last else RAIL}  ", style="dim")
            told.append(part, style=style)
    told.append(f"\n {' ' if last else RAIL}", style="dim")
    return told


def page_head(chapters: Sequence[Chapter]) -> str:
    """One line: which reference this is, and how the cup went from the first score to the last."""
    newest = chapters[-1].version
    parts = [newest.name]
    if newest.coffee and newest.coffee.casefold() != newest.name.casefold():
        parts.append(f"for {newest.coffee}")
    count = len(chapters)
    parts.append("1 version" if count == 1 else f"{count} versions")
    roasts = sum(chapter.earned.roasts for chapter in chapters)
    parts.append("1 roast" if roasts == 1 else f"{roasts} roasts")
    scored = [chapter for chapter in chapters if chapter.earned.cup_score is not None]
    if len(scored) > 1:
        cups = " → ".join(f"{scored[at].earned.cup_score:.1f}" for at in (0, -1))
        parts.append(f"cup {cups}")
    return " · ".join(parts)


def chapter_head(chapter: Chapter) -> str:
    """One line: what is drawn."""
    parent = chapter.parent
    before = f", dotted: {parent.title}" if parent is not None else ""
    cup = cup_words(chapter)
    return f"{chapter.version.title}{before}" + (f" · {cup}" if cup else "")


def _chapter_lines(chapter: Chapter, curve: Curve | None) -> list[tuple[str, str]]:
    version = chapter.version
    lines = [(chapter.origin, "")]
    if version.reason:
        lines.append((f"Why: {version.reason}", "italic"))
    lines.append((" ".join(curve.words) if curve is not None else "…", ""))
    lines.append((earned_words(chapter), "bold"))
    lines += [
        (" ".join(filter(None, (f"Note, {day_words(note.written_at)}:", note.text))), "")
        for note in chapter.notes
    ]
    return lines


def _wrapped(line: str, width: int) -> list[str]:
    """The line in parts of at most `width` cells; no number is parted from its unit."""
    joined = _TOGETHER.sub("\N{NO-BREAK SPACE}", line)
    # An empty line would have no parts, but has its place.
    return [part.replace("\N{NO-BREAK SPACE}", " ") for part in wrap(joined, width)] or [""]


def _row(width: int, coffee: str, title: str, figures: Sequence[str]) -> str:
    told = _FIGURES if width >= _ROOMY else _FIGURES[:-1]
    room = width - sum(wide + 2 for _, wide in told) - 2
    first = max(room // 2, _LEAST_NAME)
    names = _left(coffee, first) + "  " + _left(title, max(room - first, _LEAST_NAME))
    cells = (f"{text:>{wide}}" for text, (_, wide) in zip(figures, told, strict=False))
    return "  ".join((names, *cells))


def _left(text: str, width: int) -> str:
    short = shortened_within(text, width)
    return short + " " * (width - text_width(short))
