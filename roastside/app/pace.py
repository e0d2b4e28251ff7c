"""How soon to draw again, however fast there is something new."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

FRAME_S = 0.1
"""No more than ten frames a second, however fast readings come."""


class Pace:
    """Keeps frames apart. clock: any steady seconds."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._drawn_s = float("-inf")
        self._due = False

    def wait_s(self) -> float | None:
        """Seconds from now to the next frame, not above zero for at once; None: it is on its way.

        Whoever is given a wait is to draw after it.
        """
        if self._due:
            return None
        wait_s = self._drawn_s + FRAME_S - self._clock()
        self._due = wait_s > 0.0
        return wait_s

    def drawn(self) -> None:
        """A frame is drawn now."""
        self._due = False
        self._drawn_s = self._clock()
