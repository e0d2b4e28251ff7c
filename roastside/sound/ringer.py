"""Decides when to ring for which alert; makes no sound itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from roastside.core.events import Alert, AlertState, Event, Priority
from roastside.sound.grammar import AGAIN_AFTER_S, BELLS_S

HUSH_S = 60.0
CRITICAL_HUSH_S = 30.0
"""A critical alert can not be hushed for longer than this."""

_ORDER = list(Priority)


class Ringer:
    """Follows alerts and tells, whenever asked, which burst of bells is due.

    Times are seconds of any one steady clock, the listener's own: sound is made in real time,
    however fast the roast is replayed.
    """

    def __init__(self) -> None:
        self._standing: dict[str, Priority] = {}
        self._rung_s: dict[str, float] = {}
        self._busy_until_s = float("-inf")
        self._hushed_at_s: float | None = None

    def take(self, events: Sequence[Event]) -> None:
        """Follow what is raised, cleared and acknowledged."""
        for event in events:
            if not isinstance(event, Alert):
                continue
            if event.state is AlertState.RAISED:
                self._standing[event.alert] = event.priority
            else:
                self._standing.pop(event.alert, None)
                self._rung_s.pop(event.alert, None)

    def hush(self, now_s: float) -> None:
        """Be silent for a while; asked again while all is silent, sound again.

        While a critical alert sounds through a hush, asking again hushes that.
        """
        loud = any(not self._hushed(priority, now_s) for priority in self._standing.values())
        silent = self.hushed_for_s(now_s) > 0.0 and not loud
        self._hushed_at_s = None if silent else now_s

    def hushed_for_s(self, now_s: float) -> float:
        """How much longer the hush lasts, seconds; 0 if there is none."""
        if self._hushed_at_s is None:
            return 0.0
        return max(self._hushed_at_s + HUSH_S - now_s, 0.0)

    def due(self, now_s: float) -> tuple[float, ...]:
        """Offsets (s) of the bells to ring from now on; empty for silence.

        The gravest alert goes first; a burst is let finish unless the new one is critical.
        """
        waiting = [alert for alert in self._standing if self._wants(alert, now_s)]
        if not waiting:
            return ()
        gravest = max(waiting, key=lambda alert: _ORDER.index(self._standing[alert]))
        priority = self._standing[gravest]
        if now_s < self._busy_until_s and priority is not Priority.CRITICAL:
            return ()
        self._rung_s[gravest] = now_s
        self._busy_until_s = now_s + BELLS_S[priority][-1] + 0.5
        return BELLS_S[priority]

    def _wants(self, alert: str, now_s: float) -> bool:
        priority = self._standing[alert]
        if self._hushed(priority, now_s):
            return False
        rung_s = self._rung_s.get(alert)
        if rung_s is None:
            return True
        again_s = AGAIN_AFTER_S[priority]
        return again_s is not None and now_s - rung_s >= again_s

    def _hushed(self, priority: Priority, now_s: float) -> bool:
        if self._hushed_at_s is None:
            return False
        lasts_s = CRITICAL_HUSH_S if priority is Priority.CRITICAL else HUSH_S
        return now_s - self._hushed_at_s < lasts_s


def gravest(alerts: Iterable[Alert]) -> Alert | None:
    """The alert of highest priority, None if there is none."""
    return max(alerts, key=lambda alert: _ORDER.index(alert.priority), default=None)
