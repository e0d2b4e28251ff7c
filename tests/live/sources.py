"""Sources under a test's control, each reading one step of time."""

from __future__ import annotations

import queue
import time
from collections.abc import Callable, Sequence

from roastside.core.readings import Item, Mark, Reading
from roastside.live.demo import LineClock
from roastside.probes.serial_source import SerialSource
from roastside.probes.virtual_line import virtual_line
from roastside.probes.wire.spec import parse_wire

PATIENCE_S = 30.0
TICK_S = 0.13
"""Nothing came for this long, again and again, in a silence: as in a live roast."""


class LineSource:
    """Readings sent one by one down a real line, heard by pyserial, in lock-step with their times.

    Between readings that are further apart the clock moves on and nothing comes, as live. Marks
    in the script are handed to `press` at their place, the clock standing where it is.
    """

    name = "line"

    def __init__(self, script: Sequence[Reading | Mark]) -> None:
        self.press: Callable[[Mark], None] = lambda mark: None
        self._script = list(script)
        self._line = virtual_line()
        self._clock = LineClock()
        self._probe = SerialSource(self._line.port, parse_wire("lines"), 9600, self._clock)

    def open(self) -> None:
        """Open the line, and send what proves to the listener that its lines are whole."""
        self._probe.open()
        self._hear(Reading(0.0, 111.0, 111.0), times=2)

    def read(self, timeout_s: float) -> Sequence[Item]:
        coming = self._script[0]
        if isinstance(coming, Mark):
            del self._script[0]
            self.press(coming)
            return []
        next_tick_s = round(self._clock.now_s() + TICK_S, 3)
        if next_tick_s < coming.time_s:
            self._clock.set(next_tick_s)
            return []
        del self._script[0]
        self._clock.set(coming.time_s)
        return self._hear(coming)

    def now_s(self) -> float:
        return self._clock.now_s()

    @property
    def ended(self) -> bool:
        return not self._script

    def close(self) -> None:
        self._probe.close()
        self._line.unplug()

    def _hear(self, reading: Reading, times: int = 1) -> list[Item]:
        air = "" if reading.air_c is None else f",{reading.air_c!r}"
        self._line.write(f"{reading.bean_c!r}{air}\n".encode() * times)
        heard: list[Item] = []
        deadline = time.monotonic() + PATIENCE_S
        while len(heard) < times:
            assert time.monotonic() < deadline, f"{reading} did not come through the line"
            heard += self._probe.read(0.1)
        return heard


class HandFedSource:
    """Gives what a test puts in, when it does; its clock stands at the newest item."""

    name = "hand-fed"

    def __init__(self) -> None:
        self._coming: queue.SimpleQueue[Item] = queue.SimpleQueue()
        self._now_s = 0.0
        self.opened = self.closed = False
        self._ends = False

    def put(self, *items: Item) -> None:
        """Items for the next reads, from any thread."""
        for item in items:
            self._coming.put(item)

    def end_when_empty(self) -> None:
        """What was put in is all that will come."""
        self._ends = True

    @property
    def ended(self) -> bool:
        return self._ends and self._coming.empty()

    def open(self) -> None:
        self.opened = True

    def read(self, timeout_s: float) -> Sequence[Item]:
        try:
            item = self._coming.get(timeout=timeout_s)
        except queue.Empty:
            return []
        self._now_s = max(self._now_s, item.time_s)
        return [item]

    def now_s(self) -> float:
        return self._now_s

    def close(self) -> None:
        self.closed = True


def wait_until(enough: Callable[[], object], what: str) -> None:
    """Wait for another thread; fails with `what` if it never is so."""
    deadline = time.monotonic() + PATIENCE_S
    while not enough():
        assert time.monotonic() < deadline, f"{what} never came"
        time.sleep(0.005)
