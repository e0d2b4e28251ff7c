"""What several adapters give, as one stream: in order of time, the bean readings complete."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from roastside.core.readings import Item, Mark, MarkName, MarkSource, Outage, Reading
from roastside.probes.channels import AIR_COLUMN, column, spoken
from roastside.probes.source import ProbeSource

FRESH_S = 2.0
"""A temperature of another adapter stands beside a bean reading for no longer than this."""


class Mixer:
    """Pure: no I/O and no clock; of a source it only knows the name and the channels.

    Readings of the bean adapter bear the freshest temperatures of the others; those come as
    partial readings besides. That another adapter was lost, or is back, becomes a remark: only
    the bean adapter has an outage.
    """

    def __init__(self, bean: ProbeSource) -> None:
        self._bean = bean
        self._freshest: dict[str, tuple[float, float]] = {}
        self._away: set[str] = set()
        self._newest_s = 0.0

    def take(self, came: Iterable[tuple[ProbeSource, Item]]) -> list[Item]:
        """What came from which source, in any order; what to give on, oldest first."""
        in_time = sorted(came, key=lambda each: each[1].time_s)
        return [item for source, each in in_time for item in self._taken(each, source)]

    def _taken(self, item: Item, source: ProbeSource) -> Iterator[Item]:
        # Two threads may hand over in another order than their items were stamped.
        self._newest_s = max(self._newest_s, item.time_s)
        item = replace(item, time_s=self._newest_s)
        if source is self._bean:
            yield self._completed(item) if isinstance(item, Reading) else item
        elif isinstance(item, Outage):
            self._away.add(source.name)
            yield _remark(item.time_s, source, item.reason)
        elif isinstance(item, Reading):
            if source.name in self._away:
                self._away.remove(source.name)
                yield _remark(item.time_s, source, f"{source.name} is back")
            if self._remember(item, source):
                yield replace(item, partial=True)

    def _remember(self, reading: Reading, source: ProbeSource) -> bool:
        """Note the temperatures of another adapter; whether there are any."""
        measured = _temperatures(reading)
        for name in map(column, source.channels):
            self._freshest.pop(name, None)
        self._freshest |= {name: (reading.time_s, c) for name, c in measured.items()}
        return bool(measured)

    def _completed(self, reading: Reading) -> Reading:
        """The bean adapter's reading with the others' temperatures, unless the bean is missing.

        A row without a bean temperature must not look like one of the other adapters' own.
        """
        if reading.bean_c is None:
            return reading
        fresh = {
            name: degrees
            for name, (at_s, degrees) in self._freshest.items()
            if reading.time_s - at_s <= FRESH_S
        }
        air_c = fresh.pop(AIR_COLUMN, reading.air_c)
        return replace(reading, air_c=air_c, extra={**reading.extra, **fresh})


def _temperatures(reading: Reading) -> dict[str, float]:
    air = {} if reading.air_c is None else {AIR_COLUMN: reading.air_c}
    return air | dict(reading.extra)


def _remark(time_s: float, source: ProbeSource, words: str) -> Mark:
    probes = ", ".join(spoken(channel) for channel in source.channels)
    note = f"{probes}: {words}"
    return Mark(time_s, MarkName.COMMENT, note=note, source=MarkSource.AUTO)
