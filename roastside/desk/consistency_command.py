"""The command `consistency`."""

from __future__ import annotations

from roastside.book.versions import version_titled, versions
from roastside.core.errors import BookError
from roastside.core.text import clean
from roastside.core.units import Degrees
from roastside.desk.consistency import Consistency, Spread, consistency
from roastside.desk.whats_new import up_to_date_book
from roastside.live.home import home

_HEADS = ("", "n", "mean", "spread (sd)", "lowest", "highest", "a week")
_TOLD = 8
_NONE_YET = "it has none yet: 'm' in the Log makes one from a roast"


def run_consistency(title: str, degrees: Degrees) -> int:
    """Print how alike the repeats of a reference are; the exit code."""
    with up_to_date_book(home()) as book:
        version = version_titled(book, title)
        if version is None:
            known = [each.title for each in versions(book)]
            has = f"it has {', '.join(known[:_TOLD])}" if known else _NONE_YET
            raise BookError(f"the book has no reference '{clean(title)}'; {has}")
        found = consistency(book, version.id)
    print(consistency_text(found, degrees))
    return 0


def consistency_text(found: Consistency, degrees: Degrees) -> str:
    """The words and a table of the figures, for a terminal or a file."""
    words = [clean(line) for line in found.words(degrees)]
    if not found.spreads:
        return "\n".join(words)
    table = [_HEADS, *(_cells(spread, degrees) for spread in found.spreads)]
    widths = [max(len(row[at]) for row in table) for at in range(len(_HEADS))]
    lines = [
        "  ".join(
            cell.ljust(width) if at == 0 else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in table
    ]
    return "\n".join([*words, "", *lines, "", "* more than chance would do"])


def _cells(spread: Spread, degrees: Degrees) -> tuple[str, ...]:
    quantity, drift = spread.quantity, spread.drift
    week = ""
    if drift is not None:
        size = quantity.difference(drift.per_week, degrees, decimals=2)
        week = f"{'' if size.startswith('-') else '+'}{size} {'*' if drift.sure else ' '}"
    return (
        quantity.name,
        str(spread.count),
        quantity.shown(spread.mean, degrees),
        quantity.difference(spread.sd, degrees),
        quantity.shown(spread.low, degrees),
        quantity.shown(spread.high, degrees),
        week,
    )
