"""Rings the terminal's bell when an alert is due."""

from __future__ import annotations

from collections.abc import Sequence
from threading import Lock
from time import monotonic

from textual.app import App

from roastside.core.events import Event
from roastside.sound.ringer import Ringer


class Bells:
    """Joins the alerts (roast's thread) to the bell (the app's thread)."""

    def __init__(self) -> None:
        self._ringer = Ringer()
        self._lock = Lock()

    def take(self, events: Sequence[Event]) -> None:
        """Follow the alerts."""
        with self._lock:
            self._ringer.take(events)

    def hush(self) -> None:
        """Silence for a while, or end the silence."""
        with self._lock:
            self._ringer.hush(monotonic())

    def hushed_for_s(self) -> float:
        """Seconds of silence left."""
        with self._lock:
            return self._ringer.hushed_for_s(monotonic())

    def ring(self, app: App[object]) -> None:
        """Ring what is due now."""
        with self._lock:
            due = self._ringer.due(monotonic())
        for offset_s in due:
            if offset_s == 0.0:
                app.bell()
            else:
                app.set_timer(offset_s, app.bell)
