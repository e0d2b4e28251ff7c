"""How often each priority is sounded, and how long its burst lasts."""

from __future__ import annotations

from roastside.core.events import Priority
from roastside.sound.motifs import RHYTHMS

BURST_S: dict[Priority, float] = {
    priority: rhythm.starts_s[-1] + rhythm.pulse_s for priority, rhythm in RHYTHMS.items()
}
"""How long a burst lasts, from the start of its first pulse to the end of its last."""

AGAIN_AFTER_S: dict[Priority, float | None] = {
    Priority.LOW: None,
    Priority.MEDIUM: None,
    Priority.HIGH: 15.0,
    Priority.CRITICAL: 6.0,
}
"""How long after a burst it is sounded again while nobody has acknowledged it; None: never."""

APART_S: dict[Priority, float] = {
    Priority.LOW: 0.0,
    Priority.MEDIUM: 60.0,
    Priority.HIGH: 0.0,
    Priority.CRITICAL: 0.0,
}
"""How long after a burst for one alert the next of its priority, for another, may begin.

Medium once a minute: what comes sooner is shown, and sounds after that minute if it still stands.
"""
