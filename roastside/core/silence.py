"""The roast's clock: when readings came, how long none has, and where silence left a gap."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf

from roastside.core.readings import LINE_LOST

TICK_S = 1.0
"""Silence is looked at this often, counted from the last reading, live and replayed alike."""

_LONGEST_SILENCE_S = 900.0
"""Past this much silence there is nothing new to find in it."""

_GAP_S = 2.0
_GAP_INTERVALS = 3.0
_SILENT_INTERVALS = 3.5
"""A slow adapter's spacing is not silence: limits are also counted in its own intervals."""


@dataclass(frozen=True, slots=True)
class Break:
    """A silence that has ended: when it began, stream seconds, and why it was, for people."""

    from_s: float
    reason: str


class Silence:
    """Time as the items bring it, stream seconds; it never runs back.

    now_s: the latest time known. last_reading_s: when the last bean reading came; heard_s: the
    last that was believed, before the first reading when we began to listen. None: not yet.
    """

    def __init__(self) -> None:
        self.now_s = 0.0
        self.last_reading_s: float | None = None
        self.heard_s: float | None = None
        self._next_tick_s = inf
        self._interval_s = 1.0
        self._outage = ""

    def pass_to(self, time_s: float) -> Iterator[float]:
        """Let time pass; each moment to look at the silence on the way, `now_s` standing at it.

        They lie on a grid of whole ticks after the last reading. Time has passed once all were
        taken.
        """
        if self.heard_s is None:
            # Until the first reading, silence counts from when we began to listen.
            self.heard_s = time_s
            self._next_tick_s = time_s + TICK_S
        while self._next_tick_s < time_s:
            self.reach(self._next_tick_s)
            silent_s = self._next_tick_s - self.heard_s
            self._next_tick_s += TICK_S if silent_s < _LONGEST_SILENCE_S else inf
            yield self.now_s
        self.reach(time_s)

    def reach(self, time_s: float) -> None:
        """It is this late by now, unless it is later already."""
        self.now_s = max(self.now_s, time_s)

    def lost(self, reason: str) -> None:
        """The source says why nothing comes; the first reason stands until something does."""
        self._outage = self._outage or reason

    @property
    def line_lost(self) -> bool:
        """Whether what is silent is an adapter whose line is gone."""
        return self._outage.startswith(LINE_LOST)

    def begin(self, time_s: float) -> None:
        """The first reading comes: what was counted before was only waiting."""
        self.now_s = self.heard_s = time_s

    def take(self, time_s: float, usual_s: float | None) -> Break | None:
        """A reading came: the silence that it ends, if it was one; learns the usual spacing.

        usual_s: how far apart the readings of the last minute were, if that is known.
        """
        last_s, self.last_reading_s = self.last_reading_s, time_s
        reason, self._outage = self._outage, ""
        if last_s is None:
            return None
        spacing_s = time_s - last_s
        if reason or spacing_s > max(_GAP_S, _GAP_INTERVALS * self._usual_s(usual_s)):
            return Break(last_s, reason or "no readings came")
        self._interval_s += 0.1 * (spacing_s - self._interval_s)
        return None

    def believe(self, time_s: float) -> None:
        """The reading of this time was believed: silence counts from here."""
        self.heard_s = time_s
        self._next_tick_s = time_s + TICK_S

    @property
    def silent_s(self) -> float:
        """Seconds since the last believed bean reading.

        Times are whole milliseconds; their differences should be too, or a limit of three seconds
        is met a tick late.
        """
        return 0.0 if self.heard_s is None else round(self.now_s - self.heard_s, 3)

    def silent_after_s(self, least_s: float, usual_s: float | None) -> float:
        """How much silence is too much, seconds; `least_s` for a probe that is read often."""
        return max(least_s, _SILENT_INTERVALS * self._usual_s(usual_s))

    def _usual_s(self, usual_s: float | None) -> float:
        """How long one usually waits for a reading, seconds."""
        return max(self._interval_s, usual_s or 0.0)
