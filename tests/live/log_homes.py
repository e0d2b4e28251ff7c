"""Homes with a book of the shop's roasts, for tests of the log."""

from __future__ import annotations

from pathlib import Path

from roastside.book.intake import take_in_all
from roastside.book.store import Book
from roastside.core.units import CELSIUS, Degrees
from roastside.live.log import RoastLog
from tests.book.homes import FIXTURES, home_of

ROASTS = (
    "house-espresso-v3",
    "house-good-repeat-1",
    "house-slow-browning",
    "house-too-hot",
    "decaf-good-repeat",
)


def shop(folder: Path, *names: str) -> Path:
    """A home whose book has taken in these fixtures."""
    home = home_of(folder, *(FIXTURES / f"{name}.csv" for name in names or ROASTS))
    with Book.open(home) as book:
        take_in_all(book)
    return home


def shop_log(folder: Path, *names: str, degrees: Degrees = CELSIUS) -> RoastLog:
    """The log of such a home."""
    return RoastLog.open(shop(folder, *names), degrees)


def listed(log: RoastLog) -> list[str]:
    """The names of the files that are listed, in the order of the list."""
    rows = (log.row(number) for number in range(log.count))
    return [Path(roast.file).stem for roast in rows if roast is not None]
