"""Books as earlier roastsides left them, stored beside this file for good.

    python -m tests.book.old_books

stores the book of today's version, to be run once before that version is released.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from roastside.book.schema import VERSION
from roastside.book.store import BOOK_NAME, Book

FOLDER = Path(__file__).parent / "old"

ROWS_1: dict[str, list[dict[str, Any]]] = {
    "coffee": [
        {"id": 1, "name": "House espresso", "decaf": 0, "remarks": "two parts natural"},
        {"id": 2, "name": "Lantern Hill decaf", "decaf": 1, "remarks": ""},
    ],
    "lot": [
        {"id": 1, "coffee_id": 1, "name": "2026-A", "supplier": "Quay Green",
         "received_on": "2026-02-20", "remarks": "smells of hay"},
    ],
    "reference": [{"id": 1, "name": "House espresso", "coffee_id": 1}],
    "reference_version": [
        {"id": 1, "reference_id": 1, "version": 1, "title": "House espresso v1",
         "file": "references/House espresso v1.csv", "content_hash": "aa", "size_bytes": 9,
         "modified_ns": 10, "origin": "roast", "made_at": "2026-03-02T09:00:00+01:00",
         "author": "Ines"},
        {"id": 2, "reference_id": 1, "version": 2, "title": "House espresso v2",
         "file": "references/House espresso v2.csv", "content_hash": "bb", "size_bytes": 9,
         "modified_ns": 10, "origin": "edit", "parent_title": "House espresso v1",
         "parent_id": 1, "current_since": "2026-03-09T08:00:00+00:00", "author": "Ines",
         "change": "browning 20 s longer", "reason": "it was thin"},
    ],
    "cue": [{"version_id": 2, "ordinal": 1, "elapsed_s": 240.0, "bean_c": 140.0,
             "words": "heat to 70 %"}],
    "version_source": [{"version_id": 1, "file": "recordings/a.csv"}],
    "roast": [
        {"id": 1, "file": "recordings/a.csv", "content_hash": "cc", "opening_hash": "dd",
         "size_bytes": 50_000, "modified_ns": 11, "started_at": "2026-03-04T07:28:09+01:00",
         "started_utc": "2026-03-04T06:28:09+00:00", "title": "House espresso, batch 12",
         "coffee_id": 1, "lot_id": 1, "reference_title": "House espresso v2", "version_id": 2,
         "charge_weight_g": 1500.0, "roasted_weight_g": 1281.0, "loss": 0.146,
         "verdict": "good", "total_s": 673.5, "drop_c": 205.6, "readings": 1494,
         "search": "house espresso, batch 12"},
    ],
    "refused": [{"file": "recordings/b.csv", "size_bytes": 3, "modified_ns": 12,
                 "reason": "b.csv is no roast file"}],
    "note": [
        {"id": 1, "written_at": "2026-03-10T08:00:00+01:00", "author": "Ines",
         "text": "sweeter", "coffee_id": None, "version_id": 2},
        {"id": 2, "written_at": "2026-03-10T08:00:00+01:00", "author": "",
         "text": "par is 4 kg", "coffee_id": 1, "version_id": None},
    ],
    "setting": [{"name": "import_mapping", "value": '{"BT": "bean_c"}'}],
}  # fmt: skip
"""Rows in every table of a book of version 1."""

ROWS_2 = ROWS_1 | {
    "note": [
        {"id": 1, "written_at": "2026-03-10T08:00:00+01:00", "author": "Ines",
         "text": "sweeter", "coffee_id": None, "version_title": "House espresso v2"},
        {"id": 2, "written_at": "2026-03-10T08:00:00+01:00", "author": "",
         "text": "par is 4 kg", "coffee_id": 1, "version_title": None},
    ],
    "former_name": [{"name": "House blend", "coffee_id": 1}],
    "former_lot_name": [{"coffee_id": 1, "name": "A of 2026", "lot_id": 1}],
}  # fmt: skip
"""The same of a book of version 2."""

ROWS = {1: ROWS_1, 2: ROWS_2}

TODAY = {1: ROWS_1 | {"note": ROWS_2["note"]}, 2: ROWS_2}
"""What those rows are in the tables of today."""


def fill(db: sqlite3.Connection, rows: dict[str, list[dict[str, Any]]]) -> None:
    """Put rows into the tables."""
    for table, lines in rows.items():
        for line in lines:
            columns, places = ", ".join(line), ", ".join(f":{name}" for name in line)
            db.execute(f"INSERT INTO {table} ({columns}) VALUES ({places})", line)


def store_todays() -> Path:
    """Store a book of today's version with rows in every table; where it is."""
    to = FOLDER / f"book-{VERSION}.sqlite3"
    with TemporaryDirectory() as home:
        with Book.open(Path(home)) as book:
            with book.writing() as db:
                fill(db, ROWS[VERSION])
                db.execute("UPDATE coffee SET current_version_id = 2 WHERE id = 1")
            db.execute("PRAGMA journal_mode = DELETE")
        to.write_bytes((Path(home) / BOOK_NAME).read_bytes())
    return to


def rows_in(path: Path, table: str) -> list[dict[str, Any]]:
    """All rows of a table, by a plain look into the file."""
    with closing(sqlite3.connect(path)) as db:
        db.row_factory = sqlite3.Row
        return [dict(row) for row in db.execute(f"SELECT * FROM {table} ORDER BY 1, 2")]


if __name__ == "__main__":
    print(store_todays())
