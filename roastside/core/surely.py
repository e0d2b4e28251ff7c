"""The least that something is off, allowing for how uncertain it is."""

from __future__ import annotations

from math import copysign

NINE_IN_TEN = 1.645
"""So many standard deviations to either side lies the truth nine times in ten, if errors are
normal."""

FOUR_IN_FIVE = 1.2816
"""So many four times in five: half the width of an 80 % interval."""


def surely(off: float, sd: float | None) -> float:
    """`off` less one standard deviation, 0 if that may be all of it; as it is if `sd` is None."""
    return off if sd is None else copysign(max(abs(off) - sd, 0.0), off)
