"""Readings from a device on a serial line."""

from __future__ import annotations

import time

from roastside.core.readings import Item, Outage
from roastside.core.text import clean
from roastside.probes.link import Arrival, SerialLink
from roastside.probes.source import Clock
from roastside.probes.wire.poll import Poll, Schedule
from roastside.probes.wire.wire import Wire


class SerialSource:
    """A Source: bytes of a SerialLink through a Wire, stamped by the clock as they come.

    It only listens, unless there is a poll to send; then it sends that and nothing else.
    """

    def __init__(
        self, url: str, wire: Wire, baud: int, clock: Clock, poll: Poll | None = None
    ) -> None:
        self.name = clean(url)
        self.channels = wire.channels
        self._link = SerialLink(url, baud)
        self._wire = wire
        self._clock = clock
        self._schedule = None if poll is None else Schedule(poll)

    @property
    def lines_seen(self) -> int:
        """Whole lines the device has sent so far."""
        return self._wire.lines_seen

    @property
    def last_unread(self) -> str:
        """See Wire.last_unread: so that a person can be shown what comes in."""
        return self._wire.last_unread

    @property
    def ended(self) -> bool:
        """Never: a lost line is waited for."""
        return False

    def open(self) -> None:
        """Raises ProbeError with a sentence for people."""
        self._link.open()

    def read(self, timeout_s: float) -> list[Item]:
        """See Source.read."""
        if self._schedule is not None and self._link.is_open:
            timeout_s = min(timeout_s, self._ask(self._schedule))
        return self._items(self._link.read(timeout_s), self._clock.now_s())

    def _ask(self, schedule: Schedule) -> float:
        """Send the poll if it is due; how long until it is again."""
        if data := schedule.due(time.monotonic()):
            self._link.send(data)
        return schedule.wait_s(time.monotonic())

    def _items(self, arrival: Arrival, at_s: float) -> list[Item]:
        if arrival.begins:
            self._wire.begin(arrival.mid_line)
        items: list[Item] = list(self._wire.feed(arrival.data, at_s))
        if arrival.lost:
            items.append(Outage(at_s, arrival.lost))
        return items

    def now_s(self) -> float:
        """See Source.now_s."""
        return self._clock.now_s()

    def close(self) -> None:
        """Let go of the port."""
        self._link.close()
