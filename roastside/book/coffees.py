"""Coffees and their lots of green."""

from __future__ import annotations

from roastside.book.rows import Coffee, Lot, typed
from roastside.book.store import Book
from roastside.core.errors import BookError
from roastside.core.text import clean


def coffees(book: Book) -> list[Coffee]:
    """All coffees by name."""
    return [typed(Coffee, row) for row in book.db.execute("SELECT * FROM coffee ORDER BY name")]


def coffee_named(book: Book, name: str, decaf: bool = False) -> int:
    """The id of the coffee of this name, made if it is new. To be called inside `writing`.

    Raises BookError for an empty name.
    """
    name = _whole(name, "a coffee")
    row = book.db.execute("SELECT id FROM coffee WHERE name = ?", (name,)).fetchone()
    if row is not None:
        return int(row[0])
    made = book.db.execute("INSERT INTO coffee (name, decaf) VALUES (?, ?)", (name, decaf))
    return int(made.lastrowid or 0)


def lots(book: Book, coffee_id: int) -> list[Lot]:
    """The lots of a coffee, the latest first."""
    rows = book.db.execute(
        "SELECT * FROM lot WHERE coffee_id = ? ORDER BY received_on DESC NULLS LAST, id DESC",
        (coffee_id,),
    )
    return [typed(Lot, row) for row in rows]


def lot_named(book: Book, coffee_id: int, name: str) -> int:
    """The id of a coffee's lot of this name, made if it is new. To be called inside `writing`.

    Raises BookError for an empty name.
    """
    name = _whole(name, "a lot")
    row = book.db.execute(
        "SELECT id FROM lot WHERE coffee_id = ? AND name = ?", (coffee_id, name)
    ).fetchone()
    if row is not None:
        return int(row[0])
    made = book.db.execute("INSERT INTO lot (coffee_id, name) VALUES (?, ?)", (coffee_id, name))
    return int(made.lastrowid or 0)


def _whole(name: str, what: str) -> str:
    name = clean(name).strip()
    if not name:
        raise BookError(f"{what} needs a name; type one")
    return name
