"""New names for coffees and lots: making one, calling one otherwise, putting two together.

Recordings and references go on saying what was written in them, so the names they say are kept.
"""

from __future__ import annotations

from roastside.book.coffees import (
    coffee_called,
    coffee_named,
    coffee_of,
    lot_called,
    lot_named,
    lot_of,
    lots,
    whole_name,
)
from roastside.book.rows import Lot
from roastside.book.store import Book
from roastside.book.versions import link
from roastside.core.errors import BookError
from roastside.core.text import clean


def new_coffee(book: Book, name: str) -> int:
    """Make a coffee; its id. To be called inside `writing`.

    Raises BookError if the name is empty, or is or was that of another coffee.
    """
    other = coffee_called(book, name)
    if other is not None:
        raise BookError(_taken("coffee", name, other.name))
    return coffee_named(book, name)


def rename_coffee(book: Book, coffee_id: int, name: str) -> None:
    """Call a coffee otherwise. To be called inside `writing`.

    Raises BookError if the name is empty, or is or was that of another coffee.
    """
    name, coffee = whole_name(name, "a coffee"), coffee_of(book, coffee_id)
    other = coffee_called(book, name)
    if other is not None and other.id != coffee_id:
        raise BookError(_taken("coffee", name, other.name))
    book.db.execute("DELETE FROM former_name WHERE name = ?", (name,))
    book.db.execute("UPDATE coffee SET name = ? WHERE id = ?", (name, coffee_id))
    book.db.execute(
        "INSERT INTO former_name (name, coffee_id) SELECT ?, id FROM coffee"
        " WHERE id = ? AND name <> ?",
        (coffee.name, coffee_id, coffee.name),
    )


def merge_coffees(book: Book, coffee_id: int, into_id: int) -> None:
    """Make one coffee of two, called as the second is. To be called inside `writing`.

    Roasts, lots, references, notes, remarks and names of the first become the second's, which stays
    a decaf or none. Lots of the same name become one. Raises BookError if one is not there.
    """
    coffee, into = coffee_of(book, coffee_id), coffee_of(book, into_id)
    for lot in lots(book, coffee_id):
        same = lot_called(book, into_id, lot.name)
        if same is None:
            book.db.execute("UPDATE lot SET coffee_id = ? WHERE id = ?", (into_id, lot.id))
        else:
            _merge(book, lot, same)
    for table in ("roast", "reference", "note", "former_name"):
        book.db.execute(
            f"UPDATE {table} SET coffee_id = ? WHERE coffee_id = ?", (into_id, coffee_id)
        )
    # A name that a lot of the other has or had is that lot's from now on.
    book.db.execute(
        "UPDATE OR IGNORE former_lot_name SET coffee_id = ? WHERE coffee_id = ?"
        " AND name NOT IN (SELECT name FROM lot WHERE coffee_id = ?)",
        (into_id, coffee_id, into_id),
    )
    book.db.execute(
        "UPDATE coffee SET remarks = ? WHERE id = ?",
        (_joined(into.remarks, coffee.remarks), into_id),
    )
    book.db.execute("DELETE FROM coffee WHERE id = ?", (coffee_id,))
    book.db.execute(
        "INSERT INTO former_name (name, coffee_id) VALUES (?, ?)", (coffee.name, into_id)
    )
    link(book.db)


def new_lot(book: Book, coffee_id: int, name: str) -> int:
    """Make a lot of a coffee; its id. To be called inside `writing`.

    Raises BookError if the name is empty, or is or was that of another lot of the coffee.
    """
    other = lot_called(book, coffee_of(book, coffee_id).id, name)
    if other is not None:
        raise BookError(_taken("lot", name, other.name))
    return lot_named(book, coffee_id, name)


def rename_lot(book: Book, lot_id: int, name: str) -> None:
    """Call a lot otherwise. To be called inside `writing`.

    Raises BookError if the name is empty, or is or was that of another lot of its coffee.
    """
    name, lot = whole_name(name, "a lot"), lot_of(book, lot_id)
    other = lot_called(book, lot.coffee_id, name)
    if other is not None and other.id != lot_id:
        raise BookError(_taken("lot", name, other.name))
    book.db.execute(
        "DELETE FROM former_lot_name WHERE coffee_id = ? AND name = ?", (lot.coffee_id, name)
    )
    book.db.execute("UPDATE lot SET name = ? WHERE id = ?", (name, lot_id))
    book.db.execute(
        "INSERT INTO former_lot_name (coffee_id, name, lot_id) SELECT coffee_id, ?, id FROM lot"
        " WHERE id = ? AND name <> ?",
        (lot.name, lot_id, lot.name),
    )


def merge_lots(book: Book, lot_id: int, into_id: int) -> None:
    """Make one lot of two of a coffee, called as the second is. To be called inside `writing`.

    Where the second says nothing of its supplier or day, what the first says is taken. Raises
    BookError if one is not there.
    """
    lot, into = lot_of(book, lot_id), lot_of(book, into_id)
    _merge(book, lot, into)
    book.db.execute(
        "INSERT INTO former_lot_name (coffee_id, name, lot_id) VALUES (?, ?, ?)",
        (into.coffee_id, lot.name, into_id),
    )


def _merge(book: Book, lot: Lot, into: Lot) -> None:
    for table in ("roast", "former_lot_name"):
        book.db.execute(f"UPDATE {table} SET lot_id = ? WHERE lot_id = ?", (into.id, lot.id))
    book.db.execute(
        "UPDATE lot SET supplier = ?, received_on = ?, remarks = ? WHERE id = ?",
        (
            into.supplier or lot.supplier,
            into.received_on or lot.received_on,
            _joined(into.remarks, lot.remarks),
            into.id,
        ),
    )
    book.db.execute("DELETE FROM lot WHERE id = ?", (lot.id,))


def _joined(first: str, second: str) -> str:
    """Both remarks, what is the same only once."""
    return "; ".join(dict.fromkeys(filter(None, (first, second))))


def _taken(what: str, name: str, now: str) -> str:
    name = clean(name)
    if name.casefold() == now.casefold():
        return f"there is a {what} called {now} already; choose another name"
    return f"the {what} {now} was called {name} before, and its roasts say so; choose another name"
