"""A log of past roasts over a book that somebody else has open."""

from __future__ import annotations

from roastside.live.log import RoastLog


class SharedLog(RoastLog):
    """The same book, narrowed otherwise, with nothing picked. Closing it leaves the book open."""

    def __init__(self, log: RoastLog, text: str = "") -> None:
        super().__init__(log.book, log.degrees, log.trouble)
        self.taking_in = log.taking_in
        self.narrow(text)

    def try_to_write(self) -> None:
        """That is for whom the book belongs to."""

    def close(self) -> None:
        """Leave the book to whom it belongs."""
