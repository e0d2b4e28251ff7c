"""A finished roast, played again at any speed."""

from __future__ import annotations

import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from roastside.core.errors import UsageError
from roastside.core.readings import Item, Mark
from roastside.core.text import clean
from roastside.record.reader import RoastFile, read_roast_file

LARGEST_BATCH = 500


class ReplaySource:
    """A Source: the items of a roast file in file order, the same each time.

    speed: roast seconds per second, or None for as fast as it can be taken in. Paced by the
    items' times; one with an earlier time than the one before (a back-dated mark) comes with it.
    """

    def __init__(
        self,
        path: str | Path,
        speed: float | None,
        monotonic: Callable[[], float] = time.monotonic,
        sleep: Callable[[float], None] = time.sleep,
    ) -> None:
        """Raises UsageError when the speed is not above 0."""
        if speed is not None and not 0.0 < speed < float("inf"):
            raise UsageError(
                f"A replay cannot run at speed {speed}; give a number above 0, or max."
            )
        self.name = clean(str(path))
        self.is_past = True
        self._path = Path(path)
        self._speed = speed
        self._monotonic = monotonic
        self._sleep = sleep
        self._file: RoastFile | None = None
        self._items: list[Item] = []
        self._next = 0
        self._began_at_s = 0.0
        self._passed_s = 0.0

    @property
    def file(self) -> RoastFile:
        """What is replayed, once it is open."""
        assert self._file is not None
        return self._file

    @property
    def title(self) -> str:
        """The roast's own title, once it is open."""
        return "" if self._file is None else self._file.title

    @property
    def ended(self) -> bool:
        """Everything in the file was given."""
        return self._next >= len(self._items)

    def open(self) -> None:
        """Raises RecordError when the file is not there or is no roast file."""
        self._file = read_roast_file(self._path)
        self._items = list(in_time(self._file.items()))
        self._next = 0
        # A file may begin long after its second 0; nobody waits for that.
        self._passed_s = self._items[0].time_s if self._items else 0.0
        self._began_at_s = self._monotonic() - self._passed_s / (self._speed or 1.0)

    def close(self) -> None:
        """Nothing is held open."""

    def read(self, timeout_s: float) -> list[Item]:
        """See Source.read."""
        if self.ended:
            return []
        if self._speed is not None:
            wait_s = (self._items[self._next].time_s - self._clock_s()) / self._speed
            if wait_s > 0.0:
                self._sleep(min(wait_s, timeout_s))
        return self._due()

    def now_s(self) -> float:
        """See Source.now_s. Never past an item still to come, and not past the last one."""
        passed_s, coming = self._passed_s, self._next  # another thread may ask
        if self._speed is None or coming >= len(self._items):
            return passed_s
        return max(passed_s, min(self._clock_s(), self._items[coming].time_s))

    def _clock_s(self) -> float:
        assert self._speed is not None
        return round((self._monotonic() - self._began_at_s) * self._speed, 3)

    def _due(self) -> list[Item]:
        """Items whose time has come; all that are left, at most LARGEST_BATCH, at max speed."""
        until_s = float("inf") if self._speed is None else self._clock_s()
        batch: list[Item] = []
        for item in self._items[self._next : self._next + LARGEST_BATCH]:
            if item.time_s > until_s:
                break
            batch.append(item)
        if batch:
            self._passed_s = max(self._passed_s, *(item.time_s for item in batch))
            self._next += len(batch)
        return batch


def in_time(items: Iterable[Item]) -> Iterator[Item]:
    """The items of a file in file order, but no mark before its time has come.

    Nobody marks the future: a mark that stands above readings older than it was written there by
    hand, and is given when the readings have come so far. Marks keep their order among themselves.
    """
    waiting: deque[Mark] = deque()
    newest_s = float("-inf")
    for item in items:
        if isinstance(item, Mark):
            waiting.append(item)
            continue
        while waiting and waiting[0].time_s <= max(newest_s, item.time_s):
            yield waiting.popleft()
        newest_s = max(newest_s, item.time_s)
        yield item
    yield from waiting
