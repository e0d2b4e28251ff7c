"""How each priority sounds on a plain terminal bell."""

from __future__ import annotations

from roastside.core.events import Priority

BELLS_S: dict[Priority, tuple[float, ...]] = {
    Priority.LOW: (0.0,),
    Priority.MEDIUM: (0.0, 0.35, 0.7),
    Priority.HIGH: (0.0, 0.2, 0.4, 0.9, 1.1),
    Priority.CRITICAL: (0.0, 0.2, 0.4, 0.9, 1.1, 2.0, 2.2, 2.4, 2.9, 3.1),
}
"""When to ring, seconds from the start of the burst.

The grammar of IEC 60601-1-8 (table 3, recalled from memory), one bell to a pulse: one for low,
three for medium, three and two for high, which critical says twice.
"""

AGAIN_AFTER_S: dict[Priority, float | None] = {
    Priority.LOW: None,
    Priority.MEDIUM: None,
    Priority.HIGH: 15.0,
    Priority.CRITICAL: 6.0,
}
"""How long after a burst it is sounded again while nobody has acknowledged it; None: never."""
