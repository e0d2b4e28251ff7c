"""The past roasts as a person looks through them: narrowed, sorted, picked, a page at a time."""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path

from roastside.book.filters import Condition, condition
from roastside.book.roasts import EVERYTHING, NEWEST_FIRST, count_roasts, roast_of, roasts
from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import BookError
from roastside.core.units import CELSIUS, Degrees
from roastside.live.log_without_book import book_of_names
from roastside.live.taking_in import TakingIn

_PAGE_ROWS = 64
_PAGES_KEPT = 16

_TEXTS = frozenset({"coffee", "title", "reference_title"})
"""Columns that people read from A to Z; all others begin with the largest."""


class RoastLog:
    """What is listed: `count` roasts of `total`, read from the book as they are looked at.

    `trouble` says in a sentence why not all of it can be shown or changed; empty if it can.
    `picked`: roasts put aside to be compared, by id, in the order of picking. `names_only`: the
    book cannot be opened, and nothing is known but what recordings are called.
    """

    def __init__(
        self, book: Book, degrees: Degrees = CELSIUS, trouble: str = "", names_only: bool = False
    ) -> None:
        self.book = book
        self.names_only = names_only
        self.degrees = degrees
        self.trouble = trouble or _why_read_only(book)
        self.picked: dict[int, Roast] = {}
        self.taking_in = TakingIn(book)
        self.text = ""
        self.sort, self.descending = NEWEST_FIRST, True
        self.count = self.total = 0
        self._where = EVERYTHING
        self._version = 0
        self._pages: OrderedDict[int, list[Roast]] = OrderedDict()
        self.look_again()

    @classmethod
    def open(cls, home: Path, degrees: Degrees) -> RoastLog:
        """The log of the book in `home`; without one to read, of the recordings' names alone."""
        try:
            return cls(Book.open(home), degrees)
        except BookError as error:
            why = "the book itself cannot be opened"
            trouble = f"Only the names of recordings are listed: {error}."
            return cls(book_of_names(home, why), degrees, trouble, names_only=True)

    def close(self) -> None:
        """Close the book."""
        self.taking_in.leave()

    def try_to_write(self) -> None:
        """Have the book for writing, if another had it and has closed it since."""
        if self.book.writable or self.names_only:
            return
        try:
            book = Book.open(self.book.home)
        except BookError:
            return
        if not book.writable:
            book.close()
            return
        self.book.close()
        self.book, self.taking_in, self.trouble = book, TakingIn(book), ""
        self._version = 0

    def narrow(self, text: str) -> None:
        """Keep to the roasts that fit what was typed (`book.filters.condition`)."""
        self.text = text
        per_c = self.degrees.per_c
        self._where = condition(text, to_celsius=(1.0 / per_c, -self.degrees.zero / per_c))
        self._pages.clear()
        self.count = self._count(self._where)

    def sort_by(self, column: str) -> None:
        """Sort by a column of `book.roasts.SORTED_BY`; by the same again turns it round."""
        again = column == self.sort
        self.descending = not self.descending if again else column not in _TEXTS
        self.sort = column
        self._pages.clear()

    def look_again(self) -> None:
        """Forget what was read, as the book may have changed."""
        self.total = self._count(EVERYTHING)
        self.narrow(self.text)
        for roast_id in list(self.picked):
            try:
                self.picked[roast_id] = roast_of(self.book, roast_id)
            except BookError:
                del self.picked[roast_id]

    def is_outdated(self) -> bool:
        """Whether the book was changed, by another than who reads here, since it was asked last."""
        try:
            [version] = self.book.db.execute("PRAGMA data_version").fetchone()
        except BookError as error:
            self._note(error)
            return False
        was, self._version = self._version, version
        return bool(was != version)

    def row(self, number: int) -> Roast | None:
        """The roast in a row, from 0; None where there is none or it can not be read."""
        if not 0 <= number < self.count:
            return None
        page, place = divmod(number, _PAGE_ROWS)
        rows = self._page(page)
        return rows[place] if place < len(rows) else None

    def shown(self, most: int) -> list[Roast]:
        """The first `most` of what is listed."""
        return self._read(0, most)

    def pick(self, roast: Roast) -> None:
        """Put a roast aside, or back again."""
        if self.picked.pop(roast.id, None) is None:
            self.picked[roast.id] = roast

    def _page(self, page: int) -> list[Roast]:
        if page in self._pages:
            self._pages.move_to_end(page)
        else:
            self._pages[page] = self._read(page * _PAGE_ROWS, _PAGE_ROWS)
            if len(self._pages) > _PAGES_KEPT:
                self._pages.popitem(last=False)
        return self._pages[page]

    def _read(self, first: int, most: int) -> list[Roast]:
        try:
            return roasts(self.book, self._where, self.sort, self.descending, first, most)
        except BookError as error:
            self._note(error)
            return []

    def _count(self, where: Condition) -> int:
        try:
            return count_roasts(self.book, where)
        except BookError as error:
            self._note(error)
            return 0

    def _note(self, error: BookError) -> None:
        self.trouble = f"A part is missing here: {error}."


def _why_read_only(book: Book) -> str:
    if book.writable:
        return ""
    return f"The book can be read but not changed now, as {book.why_not}."
