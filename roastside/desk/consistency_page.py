"""How alike the repeats of a version are, to read on a screen."""

from __future__ import annotations

from pathlib import Path

from roastside.book.store import Book
from roastside.core.units import CELSIUS, Degrees
from roastside.desk.consistency import Consistency, Spread, consistency


def consistency_page(home: Path, version_id: int, degrees: Degrees = CELSIUS) -> str:
    """What there is to say, then a line for each figure. Reads the book of `home` anew, so that it
    can be done in another thread. Raises BookError if the book or the version is not there."""
    with Book.open(home, write=False) as book:
        return consistency_lines(consistency(book, version_id), degrees)


def consistency_lines(found: Consistency, degrees: Degrees = CELSIUS) -> str:
    """The same of repeats that are known: narrow enough for a screen of 80 columns."""
    words = found.words(degrees)
    if not found.spreads:
        return "\n".join(words)
    lines = [_cells(spread, degrees) for spread in found.spreads]
    widths = [max(len(line[at]) for line in lines) for at in range(len(lines[0]))]
    table = (
        f"{name:<{widths[0]}}  {mean:>{widths[1]}}  ± {sd:>{widths[2]}}"
        f"   {low:>{widths[3]}} to {high}"
        for name, mean, sd, low, high in lines
    )
    return "\n".join(
        (*words, "", *table, "", "Mean ± spread (standard deviation), then lowest to highest.")
    )


def _cells(spread: Spread, degrees: Degrees) -> tuple[str, ...]:
    quantity = spread.quantity
    return (
        quantity.name,
        quantity.shown(spread.mean, degrees),
        quantity.difference(spread.sd, degrees),
        quantity.shown(spread.low, degrees),
        quantity.shown(spread.high, degrees),
    )
