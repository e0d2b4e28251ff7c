"""Rings the terminal's bell when an alert is due."""

from __future__ import annotations

from collections.abc import Sequence
from time import monotonic

from textual.app import App

from roastside.core.events import Event
from roastside.sound.ringer import Ringer


class Bells:
    """Joins the alerts (roast's thread) to the bell (the app's thread)."""

    def __init__(self) -> None:
        self._ringer = Ringer()

    def take(self, events: Sequence[Event]) -> None:
        """Follow the alerts."""
        self._ringer.take(events)

    def hush(self) -> None:
        """Silence for a while, or end the silence."""
        self._ringer.hush(monotonic())

    def hushed_for_s(self) -> float:
        """Seconds of silence left."""
        return self._ringer.hushed_for_s(monotonic())

    def ring(self, app: App[object]) -> None:
        """Ring what is due now."""
        for offset_s in self._ringer.due(monotonic()):
            if offset_s == 0.0:
                app.bell()
            else:
                app.set_timer(offset_s, app.bell)
