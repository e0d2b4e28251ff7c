"""Where a replay stands: it plays, pauses, jumps and changes its speed."""

from __future__ import annotations

import time
from collections.abc import Callable

SPEEDS = (0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0)
"""Roast seconds per second, to choose from."""


class Playhead:
    """A position between two stream times, moving by itself while it plays.

    It stops at the end; played from there, it begins anew. `monotonic` gives wall seconds.
    """

    def __init__(
        self,
        begin_s: float,
        end_s: float,
        speed: float,
        monotonic: Callable[[], float] = time.monotonic,
    ) -> None:
        self.begin_s = begin_s
        self.end_s = end_s
        self.speed = speed
        self._monotonic = monotonic
        self._left_s = begin_s
        self._left_at: float | None = None
        """Wall time at which it was at `_left_s` and moving; None: it stands still."""

    @property
    def position_s(self) -> float:
        """Stream time, seconds, to the millisecond."""
        if self._left_at is None:
            return self._left_s
        passed_s = (self._monotonic() - self._left_at) * self.speed
        return min(round(self._left_s + passed_s, 3), self.end_s)

    @property
    def playing(self) -> bool:
        """Whether it moves."""
        return self._left_at is not None and self.position_s < self.end_s

    def play(self) -> None:
        """Move on from here; from the beginning if the end was reached."""
        position_s = self.position_s
        self._left_s = self.begin_s if position_s >= self.end_s else position_s
        self._left_at = self._monotonic()

    def pause(self) -> None:
        """Stand still here."""
        self._left_s, self._left_at = self.position_s, None

    def jump(self, time_s: float) -> None:
        """Go to a stream time, or to the end that is nearer to it; playing or not as before."""
        playing = self.playing
        self._left_s = min(max(time_s, self.begin_s), self.end_s)
        self._left_at = self._monotonic() if playing else None

    def faster(self) -> None:
        """The next higher of the speeds, if there is one."""
        self._change_speed(min((s for s in SPEEDS if s > self.speed), default=self.speed))

    def slower(self) -> None:
        """The next lower of the speeds, if there is one."""
        self._change_speed(max((s for s in SPEEDS if s < self.speed), default=self.speed))

    def _change_speed(self, speed: float) -> None:
        position_s = self.position_s
        self.speed = speed
        self.jump(position_s)
