"""How each priority sounds on a plain terminal bell."""

from __future__ import annotations

from roastside.core.events import Priority
from roastside.sound.motifs import RHYTHMS

BELLS_S: dict[Priority, tuple[float, ...]] = {
    priority: rhythm.starts_s for priority, rhythm in RHYTHMS.items()
}
"""When to ring, seconds from the start of the burst: one bell to a pulse."""

AGAIN_AFTER_S: dict[Priority, float | None] = {
    Priority.LOW: None,
    Priority.MEDIUM: None,
    Priority.HIGH: 15.0,
    Priority.CRITICAL: 6.0,
}
"""How long after a burst it is sounded again while nobody has acknowledged it; None: never."""
