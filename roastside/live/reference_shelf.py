"""The references as they are listed: for each what stands for it now, and what it earned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from roastside.book.earned import Earned, earned
from roastside.book.rows import Version
from roastside.book.store import Book
from roastside.book.versions import versions


@dataclass(frozen=True, slots=True)
class Shelved:
    """A reference. `shown` is its version that is current, or else its newest.

    `roasts`: of all its versions; `earned`: of the one shown; `last_at`: of the latest roast to any
    of them, ISO 8601.
    """

    shown: Version
    versions: int
    roasts: int
    earned: Earned
    last_at: str | None


def shelf(book: Book) -> list[Shelved]:
    """All references, by coffee; those of no coffee come last. Raises BookError, a sentence."""
    every, known = earned(book), versions(book)
    found = [
        _shelved(list(own), every)
        for _, own in groupby(known, key=lambda version: version.reference_id)
    ]
    return sorted(
        found,
        key=lambda each: (
            not each.shown.coffee,
            each.shown.coffee.casefold(),
            not each.shown.is_current,
            each.shown.name.casefold(),
        ),
    )


def _shelved(own: Sequence[Version], every: dict[int, Earned]) -> Shelved:
    shown = next((version for version in own if version.is_current), own[-1])
    earnings = [every[version.id] for version in own if version.id in every]
    return Shelved(
        shown,
        len(own),
        sum(each.roasts for each in earnings),
        every.get(shown.id, Earned()),
        max((each.last_at for each in earnings if each.last_at), default=None),
    )
