"""What people write about coffees, their lots, and in notes: read as they write it, and kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from roastside.book.coffees import (
    LONGEST_REMARKS,
    coffee_called,
    coffee_of,
    coffee_summaries,
    describe_coffee,
    describe_lot,
    lot_called,
    lot_of,
)
from roastside.book.naming import (
    merge_coffees,
    merge_lots,
    new_coffee,
    new_lot,
    rename_coffee,
    rename_lot,
)
from roastside.book.notes import add_note, authors
from roastside.book.rows import Coffee, Lot
from roastside.book.store import Book
from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.live.day_words import read_day

NAME, DECAF, REMARKS = "name", "decaf", "remarks"
SUPPLIER, RECEIVED_ON = "supplier", "received_on"
NOTE, AUTHOR = "note", "author"

TICKED = "yes"
"""The text of a row that is ticked; that of one that is not is empty."""

_LONGEST_LINE = 400
_YEARS = range(2000, 2100)


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a form: its key, what it is called, what stands there, and how to write it.

    `names` are proposed; a `tick` is a box, whose text is TICKED or empty.
    """

    key: str
    words: str
    text: str = ""
    hint: str = ""
    names: Sequence[str] = ()
    tick: bool = False
    longest: int = _LONGEST_LINE


@dataclass(frozen=True, slots=True)
class Question:
    """What has to be agreed to before it is done; `yes` says what agreeing does."""

    title: str
    text: str
    yes: str


def coffee_rows(coffee: Coffee | None = None) -> list[Row]:
    """What can be said of a coffee; of none, for a new one."""
    known = coffee or Coffee(0, "")
    return [
        Row(NAME, "Name", known.name),
        Row(DECAF, "decaf", TICKED if known.decaf else "", tick=True),
        Row(REMARKS, "Remarks", known.remarks, "may be empty", longest=LONGEST_REMARKS),
    ]


def lot_rows(lot: Lot | None = None) -> list[Row]:
    """What can be said of a lot; of none, for a new one."""
    known = lot or Lot(0, 0, "")
    return [
        Row(NAME, "Name", known.name, "as on the bag"),
        Row(SUPPLIER, "Supplier", known.supplier, "may be empty"),
        Row(RECEIVED_ON, "Received on", known.received_on or "", "2026-03-02 or 2 March 2026"),
        Row(REMARKS, "Remarks", known.remarks, "may be empty", longest=LONGEST_REMARKS),
    ]


def note_rows(book: Book) -> list[Row]:
    """What a note is made of. Raises BookError if the book cannot be read."""
    return [
        Row(NOTE, "Note", hint="what was tasted, what to try next", longest=LONGEST_REMARKS),
        Row(AUTHOR, "By", hint="may be empty", names=authors(book)),
    ]


def keep_coffee(
    book: Book, coffee_id: int | None, texts: Mapping[str, str], agreed: bool = False
) -> int | Question:
    """Keep what was filled in, of a new coffee if there is no id; the id of the coffee it is now.

    Given another coffee's name, the two become one, after a question. Raises BookError, a
    sentence.
    """
    decaf, remarks = texts[DECAF] == TICKED, texts[REMARKS]
    other = None if coffee_id is None else _another_coffee(book, coffee_id, texts[NAME])
    if coffee_id is not None and other is not None and not agreed:
        return _whether_one_coffee(book, coffee_id, other)
    with book.writing():
        if coffee_id is None:
            coffee_id = new_coffee(book, texts[NAME])
        elif other is None:
            rename_coffee(book, coffee_id, texts[NAME])
        describe_coffee(book, coffee_id, decaf, remarks)
        if other is not None:
            merge_coffees(book, coffee_id, other.id)
            coffee_id = other.id
    return coffee_id


def keep_lot(
    book: Book, coffee_id: int, lot_id: int | None, texts: Mapping[str, str], agreed: bool = False
) -> int | Question:
    """Keep what was filled in, of a new lot if there is no id; the id of the lot it is now.

    Given the name of another lot of the coffee, the two become one, after a question. Raises
    UsageError for a day that is none, BookError; each a sentence.
    """
    received_on = day_of(texts[RECEIVED_ON], date.today())
    other = None if lot_id is None else _another_lot(book, coffee_id, lot_id, texts[NAME])
    if lot_id is not None and other is not None and not agreed:
        return _whether_one_lot(lot_of(book, lot_id), other)
    with book.writing():
        if lot_id is None:
            lot_id = new_lot(book, coffee_id, texts[NAME])
        elif other is None:
            rename_lot(book, lot_id, texts[NAME])
        describe_lot(book, lot_id, texts[SUPPLIER], received_on, texts[REMARKS])
        if other is not None:
            merge_lots(book, lot_id, other.id)
            lot_id = other.id
    return lot_id


def keep_note(book: Book, coffee_id: int, texts: Mapping[str, str], at: datetime) -> int:
    """Keep a note about a coffee; its id. Raises BookError, a sentence."""
    return add_note(book, texts[NOTE], at, texts[AUTHOR], coffee_id=coffee_id)


def day_of(text: str, today: date) -> str | None:
    """The day that was written, ISO 8601; None if nothing was. Raises UsageError, a sentence."""
    text = clean(text)
    if not text:
        return None
    ago = {"today": 0, "yesterday": 1}.get(text.casefold())
    day = read_day(text) if ago is None else today - timedelta(days=ago)
    if day is None or day.year not in _YEARS:
        raise UsageError(
            f"Received on “{text}” is no day; write it as 2026-03-02 or 2 March 2026, or leave it "
            "empty."
        )
    return day.isoformat()


def _another_coffee(book: Book, coffee_id: int, name: str) -> Coffee | None:
    """Another coffee that is called this now."""
    found = coffee_called(book, name)
    if found is None or found.id == coffee_id or not _same(found.name, name):
        return None
    return found


def _another_lot(book: Book, coffee_id: int, lot_id: int, name: str) -> Lot | None:
    """Another lot of the coffee that is called this now."""
    found = lot_called(book, coffee_id, name)
    return None if found is None or found.id == lot_id or not _same(found.name, name) else found


def _same(name: str, typed: str) -> bool:
    return name.casefold() == clean(typed).casefold()


def _whether_one_coffee(book: Book, coffee_id: int, other: Coffee) -> Question:
    coffee, (summary,) = coffee_of(book, coffee_id), coffee_summaries(book, coffee_id)
    text = (
        f"There is a coffee called {other.name} already. If the two are one, what there is of "
        f"{coffee.name} goes to {other.name}: {_counted(summary.roasts, 'roast')}, "
        f"{_counted(summary.lots, 'lot')}, its references and notes."
    )
    if coffee.decaf != other.decaf:
        stays = "a decaf, and stays one" if other.decaf else "no decaf, and stays none"
        text += f" {other.name} is {stays}."
    return Question(
        "Are the two one coffee?",
        f"{text} They cannot be parted again.",
        "Put together",
    )


def _whether_one_lot(lot: Lot, other: Lot) -> Question:
    return Question(
        "Are the two one lot?",
        f"There is a lot called {other.name} already. If the two are one, the roasts of {lot.name} "
        f"go to {other.name}. They cannot be parted again.",
        "Put together",
    )


def _counted(number: int, one: str) -> str:
    return f"{number} {one}" if number == 1 else f"{number} {one}s"
