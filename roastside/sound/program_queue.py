"""Programs take turns: one runs, a few wait, and whoever adds one never waits."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from math import inf

from roastside.sound.program import Outcome, Program


@dataclass(frozen=True, slots=True)
class _Waiting:
    program: Program
    rank: int
    stale_at_s: float


class ProgramQueue:
    """Runs one program after another in a thread of its own.

    The highest rank goes first, then the oldest. At most `room` wait: when one more comes, the
    lowest rank goes, and of that the oldest. ended: told of each end, in the queue's thread.
    clock: any steady seconds.
    """

    def __init__(
        self,
        name: str,
        ended: Callable[[Program, Outcome], None],
        room: int = 8,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._name = name
        self._ended = ended
        self._room = room
        self._clock = clock
        self._waiting: list[_Waiting] = []
        self._running: _Waiting | None = None
        self._thread: threading.Thread | None = None
        self._closed = False
        self._changed = threading.Condition()

    def add(self, program: Program, rank: int = 0, fresh_s: float = inf) -> bool:
        """Let a program run in its turn, unless that comes later than `fresh_s` from now.

        Whether there was room without taking another's.
        """
        with self._changed:
            if self._closed:
                return True
            self._waiting.append(_Waiting(program, rank, self._clock() + fresh_s))
            full = len(self._waiting) > self._room
            if full:
                self._waiting.remove(min(self._waiting, key=lambda each: each.rank))
            if self._thread is None:
                self._thread = threading.Thread(target=self._work, name=self._name, daemon=True)
                self._thread.start()
            self._changed.notify_all()
        return not full

    def cut_off(self, below: int) -> None:
        """End what runs and drop what waits, if its rank is below this."""
        with self._changed:
            self._waiting = [each for each in self._waiting if each.rank >= below]
            running = self._running
        if running is not None and running.rank < below:
            running.program.stop()

    def wait(self, timeout_s: float) -> bool:
        """Wait until nothing runs or waits; whether it came to that."""
        with self._changed:
            return self._changed.wait_for(
                lambda: not self._waiting and self._running is None, timeout_s
            )

    def stop(self, within_s: float = 3.0) -> bool:
        """End what runs, run nothing more; whether the thread has ended."""
        with self._changed:
            self._closed = True
            self._waiting.clear()
            running, thread = self._running, self._thread
            self._changed.notify_all()
        if running is not None:
            running.program.stop()
        if thread is None:
            return True
        thread.join(within_s)
        return not thread.is_alive()

    def _work(self) -> None:
        while (turn := self._next()) is not None:
            outcome = turn.program.run()
            with suppress(Exception):  # a screen that is gone must not silence what comes next
                self._ended(turn.program, outcome)
            with self._changed:
                self._running = None
                self._changed.notify_all()

    def _next(self) -> _Waiting | None:
        with self._changed:
            while not self._closed:
                now_s = self._clock()
                self._waiting = [each for each in self._waiting if each.stale_at_s >= now_s]
                if self._waiting:
                    self._running = max(self._waiting, key=lambda each: each.rank)
                    self._waiting.remove(self._running)
                    return self._running
                self._changed.notify_all()
                self._changed.wait()
            return None
