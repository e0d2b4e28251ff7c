"""Waiting for real devices in tests: generous, and clear about what did not come."""

from __future__ import annotations

import time
from collections.abc import Callable

from roastside.core.readings import Item
from roastside.probes.source import Source

PATIENCE_S = 30.0


def read_until(
    source: Source,
    enough: Callable[[list[Item]], bool],
    what: str,
    meanwhile: Callable[[], None] = lambda: None,
) -> list[Item]:
    """Items read until they are enough; `meanwhile` is called before each read."""
    items: list[Item] = []
    deadline = time.monotonic() + PATIENCE_S
    while not enough(items):
        assert time.monotonic() < deadline, f"{what} did not come; got {items}"
        meanwhile()
        items += source.read(0.05)
    return items
