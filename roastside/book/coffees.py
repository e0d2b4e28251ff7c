"""Coffees and their lots of green: found by what they are or were called, listed, described."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.book.rows import Coffee, Lot, typed
from roastside.book.store import Book, put
from roastside.core.errors import BookError
from roastside.core.text import clean

LONGEST_REMARKS = 2000


@dataclass(frozen=True, slots=True)
class CoffeeSummary:
    """A coffee as it is listed: how many lots and roasts it has, when it was roasted last (ISO
    8601), and the title of its current reference, empty without one."""

    coffee: Coffee
    lots: int
    roasts: int
    last_at: str | None
    reference: str


def coffees(book: Book) -> list[Coffee]:
    """All coffees by name."""
    return [typed(Coffee, row) for row in book.db.execute("SELECT * FROM coffee ORDER BY name")]


def coffee_summaries(book: Book, coffee_id: int | None = None) -> list[CoffeeSummary]:
    """All coffees by name, or this one, with what there is of each."""
    # With max(), SQLite takes the other bare columns from the row that has the maximum.
    rows = book.db.execute(
        "SELECT coffee.*, coalesce(roasted.roasts, 0) AS roasts, roasted.last_at,"
        " (SELECT count(*) FROM lot WHERE lot.coffee_id = coffee.id) AS lots,"
        " coalesce(v.title, '') AS reference FROM coffee"
        " LEFT JOIN (SELECT coffee_id, count(*) AS roasts, max(started_utc), started_at AS last_at"
        " FROM roast GROUP BY coffee_id) AS roasted ON roasted.coffee_id = coffee.id"
        " LEFT JOIN reference_version AS v ON v.id = coffee.current_version_id"
        " WHERE ? IS NULL OR coffee.id = ? ORDER BY casefold(coffee.name)",
        (coffee_id, coffee_id),
    )
    return [
        CoffeeSummary(
            typed(Coffee, row), row["lots"], row["roasts"], row["last_at"], row["reference"]
        )
        for row in rows
    ]


def coffee_of(book: Book, coffee_id: int) -> Coffee:
    """The coffee with this id. Raises BookError if there is none."""
    row = book.db.execute("SELECT * FROM coffee WHERE id = ?", (coffee_id,)).fetchone()
    if row is None:
        raise BookError("that coffee is no longer in the book; look at the list again")
    return typed(Coffee, row)


def coffee_called(book: Book, name: str) -> Coffee | None:
    """The coffee of this name, or else the one that was called so before."""
    name = clean(name)
    row = book.db.execute(
        "SELECT * FROM coffee WHERE id = coalesce((SELECT id FROM coffee WHERE name = ?),"
        " (SELECT coffee_id FROM former_name WHERE name = ?))",
        (name, name),
    ).fetchone()
    return None if row is None else typed(Coffee, row)


def coffee_named(book: Book, name: str, decaf: bool = False) -> int:
    """The id of the coffee that is or was called this, made if it is new.

    To be called inside `writing`. Raises BookError for an empty name.
    """
    name = whole_name(name, "a coffee")
    found = coffee_called(book, name)
    return put(book.db, "coffee", {"name": name, "decaf": decaf}, None) if not found else found.id


def describe_coffee(book: Book, coffee_id: int, decaf: bool, remarks: str) -> None:
    """Keep what people say of a coffee. To be called inside `writing`."""
    about = {"decaf": decaf, "remarks": clean(remarks, LONGEST_REMARKS)}
    put(book.db, "coffee", about, coffee_id)


def former_names(book: Book) -> dict[str, str]:
    """What coffees were called before, and what those are called now."""
    rows = book.db.execute(
        "SELECT former_name.name, coffee.name FROM former_name"
        " JOIN coffee ON coffee.id = former_name.coffee_id ORDER BY former_name.name"
    )
    return {str(row[0]): str(row[1]) for row in rows}


def lots(book: Book, coffee_id: int) -> list[Lot]:
    """The lots of a coffee, the latest first."""
    rows = book.db.execute(
        "SELECT * FROM lot WHERE coffee_id = ? ORDER BY received_on DESC NULLS LAST, id DESC",
        (coffee_id,),
    )
    return [typed(Lot, row) for row in rows]


def roasts_of_lots(book: Book, coffee_id: int) -> dict[int, int]:
    """How many roasts there are of each lot of a coffee that was roasted, by its id."""
    rows = book.db.execute(
        "SELECT lot_id, count(*) FROM roast WHERE coffee_id = ? AND lot_id IS NOT NULL"
        " GROUP BY lot_id",
        (coffee_id,),
    )
    return {int(row[0]): int(row[1]) for row in rows}


def lot_of(book: Book, lot_id: int) -> Lot:
    """The lot with this id. Raises BookError if there is none."""
    row = book.db.execute("SELECT * FROM lot WHERE id = ?", (lot_id,)).fetchone()
    if row is None:
        raise BookError("that lot is no longer in the book; look at the list again")
    return typed(Lot, row)


def lot_called(book: Book, coffee_id: int, name: str) -> Lot | None:
    """A coffee's lot of this name, or else the one that was called so before."""
    about = {"coffee": coffee_id, "name": clean(name)}
    row = book.db.execute(
        "SELECT * FROM lot WHERE id = coalesce("
        "(SELECT id FROM lot WHERE coffee_id = :coffee AND name = :name),"
        " (SELECT lot_id FROM former_lot_name WHERE coffee_id = :coffee AND name = :name))",
        about,
    ).fetchone()
    return None if row is None else typed(Lot, row)


def lot_named(book: Book, coffee_id: int, name: str) -> int:
    """The id of a coffee's lot that is or was called this, made if it is new.

    To be called inside `writing`. Raises BookError for an empty name.
    """
    name = whole_name(name, "a lot")
    found = lot_called(book, coffee_id, name)
    return (
        put(book.db, "lot", {"coffee_id": coffee_id, "name": name}, None) if not found else found.id
    )


def describe_lot(
    book: Book, lot_id: int, supplier: str, received_on: str | None, remarks: str
) -> None:
    """Keep what people say of a lot; `received_on` is an ISO 8601 day. To be called inside
    `writing`."""
    about = {
        "supplier": clean(supplier),
        "received_on": received_on,
        "remarks": clean(remarks, LONGEST_REMARKS),
    }
    put(book.db, "lot", about, lot_id)


def whole_name(name: str, what: str) -> str:
    """A name as it is kept. Raises BookError, that `what` needs one, if there is nothing in it."""
    name = clean(name)
    if not name:
        raise BookError(f"{what} needs a name; type one")
    return name
