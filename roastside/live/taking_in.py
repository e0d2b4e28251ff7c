"""New recordings into the book, in a thread of its own, while the log is looked at."""

from __future__ import annotations

from collections.abc import Mapping
from threading import Lock

from roastside.book.intake import TakenIn, take_in_all
from roastside.book.store import Book
from roastside.core.errors import BookError
from roastside.core.text import clean
from roastside.live.rests import join_rests


class _LeftError(Exception):
    """The log was left in the meantime."""


class TakingIn:
    """Takes in what is new, each time it is run. Nobody else may write to the book while it is
    `busy`.

    `done` of `count` files are taken in so far. `trouble` tells in a sentence what was refused, or
    why nothing could be taken in; `news` what became of rests of recordings. `refused`: why, a
    sentence, by each file's name in the book.
    """

    def __init__(self, book: Book) -> None:
        self.busy = False
        self._again = False
        self.done = self.count = 0
        self.trouble = ""
        self.news = ""
        self.refused: Mapping[str, str] = {}
        self._book = book
        self._left = False
        self._closing = Lock()

    def run(self) -> None:
        """Do it; returns when it is done, soon after `leave`, or at once if it is under way."""
        with self._closing:
            if self._left or self.busy or not self._book.writable:
                return
            self.busy = True
            self.done = self.count = 0
        # A folder that is gone while the log is looked at is moved, and not to be made anew.
        self.news = join_rests(make=not self._again) or self.news
        try:
            with self._book.beside() as beside:
                outcome = take_in_all(beside, self._progress, cautious=self._again)
                self._again = True
            self.refused, self.trouble = outcome.refused, refused_words(outcome)
        except _LeftError:
            pass
        except BookError as error:
            self.trouble = f"New recordings are not listed yet: {clean(str(error))}."
        with self._closing:
            self.busy = False
            if self._left:
                self._book.close()

    def leave(self) -> None:
        """Stop, and close the book: now, or as soon as nobody writes to it."""
        with self._closing:
            self._left = True
            if not self.busy:
                self._book.close()

    def _progress(self, done: int, count: int) -> None:
        self.done, self.count = done, count
        if self._left:
            raise _LeftError


def refused_words(outcome: TakenIn) -> str:
    """What of a taking in was refused, a sentence; empty if nothing was."""
    if not outcome.refused:
        return ""
    count, first = len(outcome.refused), next(iter(outcome.refused.values()))
    if count == 1:
        return f"A file is no roast and is not listed: {first}"
    return f"{count} files are no roasts and are not listed; the first: {first}"
