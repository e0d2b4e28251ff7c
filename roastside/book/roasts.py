"""Finding roasts in the book."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from roastside.book.filters import UNFINISHED, Condition
from roastside.book.rows import Roast, typed
from roastside.book.store import Book
from roastside.core.errors import BookError

_FROM = (
    " FROM roast LEFT JOIN coffee ON coffee.id = roast.coffee_id"
    " LEFT JOIN lot ON lot.id = roast.lot_id"
)
_SELECT = (
    "SELECT roast.*, coalesce(coffee.name, '') AS coffee, coalesce(lot.name, '') AS lot" + _FROM
)

EVERYTHING = Condition("TRUE", ())

NEWEST_FIRST = "started_utc"

_ORDER = {
    NEWEST_FIRST: "roast.started_utc",
    "coffee": "nullif(casefold(coalesce(coffee.name, '')), '')",
    "title": "casefold(roast.title)",
    "reference_title": "nullif(casefold(roast.reference_title), '')",
    "total_s": "roast.total_s",
    "drying_share": "roast.drying_share",
    "browning_share": "roast.browning_share",
    "development_ratio": "roast.development_ratio",
    "drop_c": "roast.drop_c",
    "loss": "roast.loss",
    "worst_departure_c": "roast.worst_departure_c",
    "cup_score": "roast.cup_score",
    "verdict": "CASE roast.verdict WHEN 'good' THEN 3 WHEN 'fair' THEN 2 WHEN 'poor' THEN 1 END",
}

SORTED_BY = tuple(_ORDER)
"""The columns a list of roasts can be sorted by; a verdict is larger the better it is."""


def roasts(
    book: Book,
    where: Condition = EVERYTHING,
    sort: str = NEWEST_FIRST,
    descending: bool = True,
    first: int = 0,
    most: int = -1,
) -> list[Roast]:
    """`most` roasts from the `first` on, sorted; what is not known comes last.

    Raises ValueError for a column that cannot be sorted by.
    """
    if sort not in _ORDER:
        raise ValueError(sort)
    way = "DESC" if descending else "ASC"
    order = f"{_ORDER[sort]} {way} NULLS LAST, roast.started_utc DESC, roast.id DESC"
    rows = book.db.execute(
        f"{_SELECT} WHERE {where.sql} ORDER BY {order} LIMIT ? OFFSET ?",
        (*where.parameters, most, first),
    )
    return [typed(Roast, row) for row in rows]


def count_roasts(book: Book, where: Condition = EVERYTHING) -> int:
    """How many roasts there are."""
    found = book.db.execute(f"SELECT count(*) FROM roast WHERE {where.sql}", where.parameters)
    return int(found.fetchone()[0])


def roast_of(book: Book, roast_id: int) -> Roast:
    """The roast with this id. Raises BookError if there is none."""
    row = book.db.execute(f"{_SELECT} WHERE roast.id = ?", (roast_id,)).fetchone()
    if row is None:
        raise BookError("that roast is no longer in the book; look at the list again")
    return typed(Roast, row)


def roast_in(book: Book, file: str) -> Roast | None:
    """The roast whose recording the book calls `file`."""
    row = book.db.execute(f"{_SELECT} WHERE roast.file = ?", (file,)).fetchone()
    return None if row is None else typed(Roast, row)


def titles_of(book: Book, recordings: Sequence[Path]) -> dict[Path, str]:
    """What some recordings are called, those that are in the book."""
    names = {book.named(path): path for path in recordings}
    marks = ", ".join("?" * len(names))
    rows = book.db.execute(f"SELECT file, title FROM roast WHERE file IN ({marks})", [*names])
    return {names[row["file"]]: row["title"] for row in rows}


def unfinished(book: Book, most: int = 20) -> Sequence[Roast]:
    """The newest roasts of which something is still to be filled in."""
    return roasts(book, Condition(UNFINISHED, ()), most=most)


def count_unfinished(book: Book) -> int:
    """How many such roasts there are."""
    return count_roasts(book, Condition(UNFINISHED, ()))
