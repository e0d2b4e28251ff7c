"""A roast file that another program is still writing."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import BinaryIO

from roastside.core.errors import RecordError
from roastside.core.readings import Item, Outage
from roastside.core.text import clean
from roastside.record.reader import RowReader, refuse_too_large

POLL_S = 0.2

PIECE_BYTES = 256 * 1024

LAG_S = 1.5
"""A row is seen up to this long after its time: a recorder stores once a second (contract 3)."""


class FollowSource:
    """A Source: the rows so far, then each row as it is appended; a torn line waits.

    One stream is one recording. A file that vanishes, becomes shorter or cannot be read is an
    Outage, and is waited for: programs that copy files do all of these. Once it begins with
    the very bytes seen before, reading goes on where it was; if it holds another recording,
    the stream ends.
    """

    def __init__(
        self,
        path: str | Path,
        monotonic: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        self.name = clean(str(path))
        self._path = Path(path)
        self._monotonic = monotonic
        self._sleep = sleep
        self._reader = RowReader(self.name)
        self._seen = bytearray()
        self._file_id = (0, 0)
        self._unread: list[Item] = []
        self._out_told = False
        self._ended = False
        self._any_row = False
        self._newest = (0.0, monotonic())

    @property
    def header(self) -> Mapping[str, str]:
        """The header lines so far."""
        return self._reader.header

    @property
    def ended(self) -> bool:
        """The file holds another recording now."""
        return self._ended

    def open(self) -> None:
        """Raises RecordError when the file is not there or is no roast file."""
        try:
            if self._path.exists() and not self._path.is_file():  # a pipe would hold us up
                raise RecordError(f"{self.name} is not an ordinary file; choose a roast file.")
            with self._path.open("rb") as file:
                refuse_too_large(self.name, _size(file))
                self._file_id = _identity(file)
                self._unread = self._grown(file)
        except OSError as error:
            raise RecordError(
                f"{self.name} cannot be read ({_reason(error)}); check the name of the file."
            ) from error
        self._newest = (self._newest[0], self._monotonic())

    def close(self) -> None:
        """Nothing is held open between reads."""

    def read(self, timeout_s: float) -> list[Item]:
        """See Source.read. Raises RecordError when what comes is no roast file."""
        items, self._unread = self._unread, []
        deadline_s = self._monotonic() + timeout_s
        while not items and not self._ended:
            items = self._poll()
            left_s = deadline_s - self._monotonic()
            if items or left_s <= 0.0:
                break
            self._sleep(min(POLL_S, left_s))
        return items

    def now_s(self) -> float:
        """See Source.now_s: the newest row's time, moving on when no row comes for long.

        Before the first row it counts the waiting: the roast's own clock is not known yet.
        """
        newest_s, seen_at_s = self._newest  # one object, as another thread may ask
        return round(newest_s + max(0.0, self._monotonic() - seen_at_s - LAG_S), 3)

    def _poll(self) -> list[Item]:
        try:
            with self._path.open("rb") as file:
                changed = self._file_id != _identity(file) or _size(file) < len(self._seen)
                if changed and (reason := self._unlike(file)):
                    return self._out(reason)
                self._file_id = _identity(file)
                self._out_told = False
                return self._grown(file)
        except OSError as error:
            return self._out(f"{self.name} cannot be read ({_reason(error)})")

    def _grown(self, file: BinaryIO) -> list[Item]:
        file.seek(len(self._seen))
        if not (data := file.read(PIECE_BYTES)):
            return []
        self._seen += data
        items = [item for row in self._reader.feed(data) for item in row.items()]
        if items:
            before_s = self.now_s() if self._any_row else 0.0
            self._any_row = True
            newest_s = max(before_s, *(item.time_s for item in items))
            self._newest = (newest_s, self._monotonic())
        return items

    def _unlike(self, file: BinaryIO) -> str:
        """Why the file is not the one followed so far; empty when it is. May end the stream."""
        head = file.read(len(self._seen))
        if head == self._seen:
            return ""
        if self._seen.startswith(head):
            return f"{self.name} became shorter"
        self._ended = True
        return f"{self.name} holds another recording now"

    def _out(self, reason: str) -> list[Item]:
        if self._out_told and not self._ended:
            return []
        self._out_told = True
        return [Outage(self.now_s(), reason)]


def _identity(file: BinaryIO) -> tuple[int, int]:
    facts = os.fstat(file.fileno())
    return facts.st_dev, facts.st_ino


def _size(file: BinaryIO) -> int:
    return os.fstat(file.fileno()).st_size


def _reason(error: OSError) -> str:
    return clean(error.strerror or str(error))
