"""Coffees in lines of text: the list of them, and what there is to say of one."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import wrap

from rich.text import Text

from roastside.app.draw.cells import shortened, text_width
from roastside.book.coffees import CoffeeSummary
from roastside.book.rows import Lot, Note
from roastside.live.coffees import CoffeeStory
from roastside.live.day_words import day_words

_FIGURES = (("lots", 4), ("roasts", 6), ("last roast", 10))
_DECAF = "decaf"
_WITH_REFERENCE = 68
"""From so many cells on there is room for the current reference."""


def list_head(width: int) -> str:
    """The head of the list."""
    return _row(width, "coffee", "", "roasted to", [name for name, _ in _FIGURES])


def list_line(each: CoffeeSummary, width: int) -> str:
    """A coffee in the list."""
    figures = [
        str(each.lots) if each.lots else "",
        str(each.roasts) if each.roasts else "",
        (each.last_at or "")[:10],
    ]
    decaf = _DECAF if each.coffee.decaf else ""
    return _row(width, each.coffee.name, decaf, each.reference, figures)


def page_head(story: CoffeeStory) -> str:
    """One line: which coffee this is, and how often it was roasted."""
    summary = story.summary
    parts = [summary.coffee.name]
    if summary.coffee.decaf:
        parts.append(_DECAF)
    parts.append(_counted(summary.roasts, "roast") if summary.roasts else "not roasted yet")
    if summary.last_at:
        parts.append(f"last {day_words(summary.last_at)}")
    return " · ".join(parts)


def about_text(story: CoffeeStory, width: int) -> Text:
    """What else there is to say of the coffee itself."""
    summary = story.summary
    lines = [
        f"Roasted to {summary.reference}" if summary.reference else "No reference is current yet"
    ]
    if story.former:
        lines.append(f"Called before: {', '.join(story.former)}")
    lines.append(f"Remarks: {summary.coffee.remarks or 'none yet'}")
    return Text("\n").join(part for line in lines for part in _wrapped(line, width))


def lot_text(lot: Lot, roasts: int, width: int) -> Text:
    """A lot: its name, where it is from, when it came, how often it was roasted."""
    parts = [lot.supplier] if lot.supplier else []
    if lot.received_on:
        parts.append(f"received {day_words(lot.received_on)}")
    parts.append(_counted(roasts, "roast") if roasts else "not roasted yet")
    head, *rest = _wrapped(" · ".join((lot.name, *parts)), width)
    head.stylize("bold", 0, len(lot.name))
    remarks = _wrapped(lot.remarks, width) if lot.remarks else []
    return Text("\n").join([head, *rest, *remarks])


def note_text(note: Note, width: int) -> Text:
    """A note: when it was written and by whom, and what it says."""
    by = f"by {note.author}" if note.author else ""
    when = Text(" ".join(filter(None, (day_words(note.written_at), by))), style="bold")
    return Text("\n").join([when, *_wrapped(note.text, width)])


def _wrapped(line: str, width: int) -> list[Text]:
    return [Text(part) for part in wrap(line, width)] or [Text()]


def _counted(number: int, one: str) -> str:
    return f"{number} {one}" if number == 1 else f"{number} {one}s"


def _row(width: int, name: str, decaf: str, reference: str, figures: Sequence[str]) -> str:
    room = width - sum(wide + 2 for _, wide in _FIGURES) - len(_DECAF) - 2
    cells = [_left(decaf, len(_DECAF))]
    if width >= _WITH_REFERENCE:
        wide = (room - 2) // 2
        room -= wide + 2
        cells.append(_left(reference, wide))
    cells += (f"{text:>{wide}}" for text, (_, wide) in zip(figures, _FIGURES, strict=True))
    return "  ".join((_left(name, max(room, 8)), *cells))


def _left(text: str, width: int) -> str:
    short = shortened(text, width)
    return short + " " * (width - text_width(short))
