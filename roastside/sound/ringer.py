"""Decides when to sound which alert; makes no sound itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from roastside.core.events import Alert, AlertState, Event, Priority, Summary
from roastside.sound.grammar import AGAIN_AFTER_S, APART_S, BURST_S

HUSH_S = 60.0
CRITICAL_HUSH_S = 30.0
"""A critical alert can not be hushed for longer than this."""

_ORDER = list(Priority)


class Ringer:
    """Follows alerts and tells, whenever asked, which of them is to be sounded.

    Times are seconds of any one steady clock, the listener's own: sound is made in real time,
    however fast the roast is replayed. Should that clock go back, what it timed is forgotten.
    """

    def __init__(self) -> None:
        self._standing: dict[str, Alert] = {}
        self._rung_s: dict[str, float] = {}
        self._last_s: dict[Priority, float] = {}
        self._busy_until_s = float("-inf")
        self._held_until_s = float("-inf")
        self._spoken: Alert | None = None
        self._hushed_at_s: float | None = None
        self._seen_s = float("-inf")

    def take(self, events: Sequence[Event]) -> None:
        """Follow what is raised, cleared and acknowledged. With the roast all of it ends."""
        for event in events:
            if isinstance(event, Summary):
                self._standing.clear()
                self._rung_s.clear()
            if not isinstance(event, Alert):
                continue
            if event.state is AlertState.RAISED:
                self._standing[event.alert] = event
            else:
                self._standing.pop(event.alert, None)
                self._rung_s.pop(event.alert, None)

    def stands(self, alert: Alert) -> bool:
        """Whether it was neither cleared nor acknowledged since."""
        return alert.alert in self._standing

    def hush(self, now_s: float) -> None:
        """Be silent for a while; asked again while all is silent, sound again.

        While a critical alert sounds through a hush, asking again hushes that.
        """
        self._look_at(now_s)
        loud = any(not self.hushed(alert.priority, now_s) for alert in self._standing.values())
        silent = self.hushed_for_s(now_s) > 0.0 and not loud
        self._hushed_at_s = None if silent else now_s

    def hushed_for_s(self, now_s: float) -> float:
        """How much longer the hush lasts, seconds; 0 if there is none."""
        if self._hushed_at_s is None:
            return 0.0
        return max(self._hushed_at_s + HUSH_S - now_s, 0.0)

    def hushed(self, priority: Priority, now_s: float) -> bool:
        """Whether alerts of this priority are to be silent now."""
        if self._hushed_at_s is None:
            return False
        lasts_s = CRITICAL_HUSH_S if priority is Priority.CRITICAL else HUSH_S
        return now_s - self._hushed_at_s < lasts_s

    def hold(self, until_s: float, spoken: Alert) -> None:
        """This alert is told in words until then: while it stands, only graver ones sound."""
        self._held_until_s, self._spoken = until_s, spoken

    def due(self, now_s: float) -> Alert | None:
        """The alert whose burst is to begin now; None for silence.

        The gravest goes first; a burst is let finish unless a new critical alert comes.
        """
        self._look_at(now_s)
        waiting = [alert for alert in self._standing.values() if self._wants(alert, now_s)]
        alert = gravest(waiting)
        if alert is None:
            return None
        interrupts = alert.priority is Priority.CRITICAL and alert.alert not in self._rung_s
        if not interrupts and (now_s < self._busy_until_s or self._must_wait(alert, now_s)):
            return None
        self._rung_s[alert.alert] = self._last_s[alert.priority] = now_s
        self._busy_until_s = now_s + BURST_S[alert.priority] + 0.5
        return alert

    def _wants(self, alert: Alert, now_s: float) -> bool:
        if self.hushed(alert.priority, now_s):
            return False
        last_s = self._last_s.get(alert.priority)
        if last_s is not None and now_s - last_s < APART_S[alert.priority]:
            return False
        rung_s = self._rung_s.get(alert.alert)
        if rung_s is None:
            return True
        again_s = AGAIN_AFTER_S[alert.priority]
        return again_s is not None and now_s - rung_s >= again_s

    def _must_wait(self, alert: Alert, now_s: float) -> bool:
        spoken = self._spoken
        if now_s >= self._held_until_s or spoken is None or not self.stands(spoken):
            return False
        return _ORDER.index(alert.priority) <= _ORDER.index(spoken.priority)

    def _look_at(self, now_s: float) -> None:
        if now_s < self._seen_s:
            self._busy_until_s = self._held_until_s = float("-inf")
            self._hushed_at_s = None
            self._last_s.clear()
            self._rung_s = dict.fromkeys(self._rung_s, now_s)
        self._seen_s = now_s


def gravest(alerts: Iterable[Alert]) -> Alert | None:
    """The alert of highest priority, None if there is none."""
    return max(alerts, key=lambda alert: _ORDER.index(alert.priority), default=None)
