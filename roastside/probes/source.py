"""The one face every origin of readings shows: serial line, replay, growing file, practice."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Protocol

from roastside.core.readings import Item


class Clock(Protocol):
    """Seconds since the recording began, never going back."""

    def now_s(self) -> float: ...


class RoastClock:
    """The monotonic clock from a start, optionally running `speed` times faster.

    `already_s`: roast seconds that had passed when it was made.
    """

    def __init__(self, speed: float = 1.0, already_s: float = 0.0) -> None:
        self._speed = speed
        self._start = time.monotonic() - already_s / speed

    def now_s(self) -> float:
        """Roast seconds since this clock was made, to the millisecond.

        Rounded so that the recording holds exactly the time the fold was given.
        """
        return round((time.monotonic() - self._start) * self._speed, 3)


class Source(Protocol):
    """Where readings come from. Used from one thread; `now_s` may be called from any.

    `read` waits at most `timeout_s` of wall time and returns what came (readings, and for files
    marks), oldest first; nothing came: an empty sequence. An Outage item tells that the link was
    lost; it heals by itself. `ended` turns true when no more will ever come.
    """

    name: str

    def open(self) -> None:
        """Begin. Raises ProbeError or RecordError with a sentence for people."""

    def read(self, timeout_s: float) -> Sequence[Item]: ...

    def now_s(self) -> float:
        """The recording's clock, seconds: what a mark made this instant is stamped with."""
        ...

    @property
    def ended(self) -> bool: ...

    def close(self) -> None: ...


class ProbeSource(Source, Protocol):
    """A device that is listened to or asked."""

    channels: tuple[str, ...]
    """What it looks for: `bean`, `air`, and further channels whose names end in `_c`."""
