"""What a person's hand did to the marks, so that the last thing can be taken back."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass

from roastside.core.events import Event, Marked
from roastside.core.readings import ONCE_ONLY, UNDO


@dataclass(frozen=True, slots=True)
class TakenBack:
    """A mark to restore: to the stream time it had before, or (None) to nothing."""

    mark: str
    time_s: float | None


class MarkHistory:
    """The once-only marks in the order they came, and where each stood before.

    A key press is entered at once, before the roast has heard of it, so that two quick presses
    count twice; what the roast tells (detected, corrected, withdrawn) is entered by `take`. Safe to
    use from several threads.
    """

    def __init__(self) -> None:
        self._placed: dict[str, float] = {}
        self._steps: list[tuple[str, float | None]] = []
        self._lock = threading.Lock()

    def press(self, mark: str, time_s: float) -> None:
        """A person places or moves a mark."""
        with self._lock:
            self._steps.append((mark, self._placed.pop(mark, None)))
            self._placed[mark] = time_s

    def take(self, events: Sequence[Event]) -> None:
        """Follow what the roast tells of its marks."""
        with self._lock:
            for event in events:
                if not isinstance(event, Marked):
                    continue
                if event.mark in ONCE_ONLY:
                    if event.mark not in self._placed:
                        self._steps.append((event.mark, None))
                    self._placed[event.mark] = event.moment_s
                elif event.mark.startswith(UNDO):
                    self._placed.pop(event.mark.removeprefix(UNDO), None)

    def last(self) -> tuple[str, float] | None:
        """The mark placed or moved last, and its stream time."""
        with self._lock:
            return next(reversed(self._placed.items()), None)

    def take_back(self) -> TakenBack | None:
        """Undo the last step that still matters; None if there is none."""
        with self._lock:
            while self._steps:
                mark, before_s = self._steps.pop()
                if mark not in self._placed:
                    continue
                if before_s is None:
                    del self._placed[mark]
                else:
                    self._placed[mark] = before_s
                return TakenBack(mark, before_s)
            return None
