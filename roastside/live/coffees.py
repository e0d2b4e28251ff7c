"""The coffees as they are looked through: the list of them, and all there is to say of one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from roastside.book.coffees import (
    CoffeeSummary,
    coffee_of,
    coffee_summaries,
    former_names,
    lots,
    roasts_of_lots,
)
from roastside.book.notes import notes
from roastside.book.rows import Lot, Note
from roastside.book.store import Book
from roastside.live.log import RoastLog


@dataclass(frozen=True, slots=True)
class CoffeeStory:
    """A coffee, what it was called before, its lots with how often each was roasted (the latest
    first), and what people wrote about it."""

    summary: CoffeeSummary
    former: Sequence[str]
    lots: Sequence[tuple[Lot, int]]
    notes: Sequence[Note]


def coffee_story(book: Book, coffee_id: int) -> CoffeeStory:
    """All of it. Raises BookError if the coffee is no longer in the book, or cannot be read."""
    name = coffee_of(book, coffee_id).name
    (summary,) = coffee_summaries(book, coffee_id)
    roasts = roasts_of_lots(book, coffee_id)
    return CoffeeStory(
        summary,
        [old for old, now in former_names(book).items() if now == name],
        [(lot, roasts.get(lot.id, 0)) for lot in lots(book, coffee_id)],
        notes(book, coffee_id=coffee_id),
    )


def why_not_now(log: RoastLog) -> str:
    """Why nothing can be changed now, in a sentence; empty if it can."""
    if not log.book.writable:
        return f"Nothing can be changed now, as {log.book.why_not}."
    if log.taking_in.busy:
        return "New roasts are being taken into the book: try again in a moment."
    return ""
