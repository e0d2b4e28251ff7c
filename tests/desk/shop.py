"""A book of many repeats, so that their spread is known beforehand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from roastside.book.store import Book, put
from roastside.book.versions import take_in_version
from tests.book.homes import home_of, write_version

BEGAN = datetime(2026, 1, 5, 7, 30, tzinfo=UTC)
TITLE = "House espresso v3"


def shop(folder: Path, repeats: int, drop_c_a_week: float = 0.0) -> Book:
    """Repeats of the house reference, two a week, whose drop temperature moves so much.

    They jitter by the same pattern over and over, which no figure drifts by.
    """
    home = home_of(folder)
    write_version(home)
    book = Book.open(home)
    version_id = take_in_version(book, home / "references" / f"{TITLE}.csv")
    with book.writing() as db:
        for k in range(repeats):
            at = BEGAN + timedelta(days=3.5 * k)
            jitter = (-1.0, 0.5, 1.0, -0.5, 0.0)[k % 5]
            put(db, "roast", _row(k, at, jitter, version_id, drop_c_a_week * k / 2.0), None)
    return book


def _row(
    k: int, at: datetime, jitter: float, version_id: int, drifted_c: float
) -> dict[str, object]:
    return {
        "file": f"recordings/{k}.csv",
        "content_hash": str(k),
        "opening_hash": str(k),
        "size_bytes": 1,
        "modified_ns": 1,
        "started_at": at.isoformat(),
        "started_utc": at.isoformat(),
        "title": f"=House espresso, batch {k}",
        "reference_title": TITLE,
        "version_id": version_id,
        "verdict": "good" if k % 2 else "",
        "total_s": 670.0 + 4.0 * jitter,
        "development_ratio": 0.165 + 0.002 * jitter,
        "drop_c": 205.0 + 0.2 * jitter + drifted_c,
        "within_share": 0.9,
        "readings": 1494,
    }
