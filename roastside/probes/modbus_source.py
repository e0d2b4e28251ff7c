"""Readings from a Modbus RTU device, which speaks only when asked."""

from __future__ import annotations

import time
from collections.abc import Mapping

from roastside.core.readings import Item, Outage, Reading
from roastside.core.text import clean
from roastside.probes.link import SerialLink
from roastside.probes.modbus_poller import Poller
from roastside.probes.source import Clock
from roastside.probes.wire.choice import AIR, BEAN
from roastside.probes.wire.modbus_spec import ModbusSpec


class ModbusSource:
    """A Source: asks for registers over a SerialLink, stamps answers by the clock as they come.

    It only ever asks to read (functions 3 and 4); nothing in the device is written.
    """

    def __init__(self, url: str, spec: ModbusSpec, baud: int, clock: Clock) -> None:
        self.name = clean(url)
        self.channels = tuple(spec.registers.channels)
        self._link = SerialLink(url, baud, parity=spec.parity, stop_bits=spec.stop_bits)
        self._poller = Poller(spec, baud)
        self._clock = clock

    @property
    def last_unread(self) -> str:
        """Why there are no readings, a phrase for people; empty when all is well."""
        return self._poller.trouble

    @property
    def trouble(self) -> str:
        """The same: it is a sentence already, not something the device said."""
        return self._poller.trouble

    @property
    def ended(self) -> bool:
        """Never: a lost line is waited for."""
        return False

    def open(self) -> None:
        """Raises ProbeError with a sentence for people."""
        self._link.open()
        self._poller.begin(time.monotonic())

    def read(self, timeout_s: float) -> list[Item]:
        """See Source.read."""
        if self._link.is_open:
            timeout_s = min(timeout_s, self._ask())
        arrival = self._link.read(timeout_s)
        at_s = self._clock.now_s()
        found = self._poller.feed(arrival.data, time.monotonic())
        items: list[Item] = [] if found is None else [_reading(at_s, found)]
        if arrival.lost:
            items.append(Outage(at_s, arrival.lost))
            self._poller.begin(time.monotonic())
        return items

    def now_s(self) -> float:
        """See Source.now_s."""
        return self._clock.now_s()

    def close(self) -> None:
        """Let go of the port."""
        self._link.close()

    def _ask(self) -> float:
        """Send what is due; how long until there may be more to do."""
        if request := self._poller.request(time.monotonic()):
            self._link.send(request)
        return self._poller.wait_s(time.monotonic())


def _reading(at_s: float, found: Mapping[str, float | None]) -> Reading:
    extra = {
        name: degrees
        for name, degrees in found.items()
        if name not in (BEAN, AIR) and degrees is not None
    }
    bean_c, air_c = found.get(BEAN), found.get(AIR)
    return Reading(at_s, bean_c, air_c, extra) if extra else Reading(at_s, bean_c, air_c)
