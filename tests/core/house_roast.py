"""One roast of the house coffee, and what a session said of it."""

from __future__ import annotations

from roastside.core.events import Alert, Event, Sample
from roastside.core.readings import Reading
from tests.core.roasts import Probe, Truth, readings

HOUSE = Truth()
ROAST = readings(HOUSE, Probe(seed=1))


def samples(events: list[Event]) -> list[Sample]:
    return [e for e in events if isinstance(e, Sample)]


def alerts(events: list[Event]) -> list[tuple[float, str, str]]:
    return [(e.time_s, e.alert, str(e.state)) for e in events if isinstance(e, Alert)]


def until(time_s: float) -> list[Reading]:
    return [r for r in ROAST if r.time_s <= time_s]


def after(time_s: float) -> list[Reading]:
    return [r for r in ROAST if r.time_s > time_s]
