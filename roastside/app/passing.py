"""Words said to the person in passing."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

SAID_FOR_S = 5.0


class Passing:
    """A few words that stand for a few seconds. clock: any steady seconds."""

    def __init__(self, clock: Callable[[], float] = monotonic) -> None:
        self._clock = clock
        self._words = ""
        self._until_s = 0.0

    @property
    def words(self) -> str:
        """What stands now; empty if nothing does."""
        return self._words if self._clock() < self._until_s else ""

    def say(self, words: str) -> None:
        """Let these words stand, in place of any before."""
        self._words, self._until_s = words, self._clock() + SAID_FOR_S
