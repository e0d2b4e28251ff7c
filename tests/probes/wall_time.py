"""Wall time for tests of pacing."""

from __future__ import annotations


class WallTime:
    """Passes only by sleeping."""

    def __init__(self) -> None:
        self.now = 100.0
        self.slept: list[float] = []

    def monotonic(self) -> float:
        return self.now

    def sleep(self, duration_s: float) -> None:
        self.slept.append(duration_s)
        self.now += duration_s
