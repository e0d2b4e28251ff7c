"""What the rate of rise did in a roast: the findings, and how they are told."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from roastside.core.units import CELSIUS, Degrees


class FindingKind(StrEnum):
    """What was found. What `size` means beside it, °C/min:

    FALLING: how far the rate fell from its peak to the end, never rising again on the way.
    RISE: how far it rose, where a falling rate was to be expected.
    SUDDEN_FALL: how far it fell around first crack, beyond what its steady decline explains.
    REBOUND: how far it rose after a sudden fall.
    STALL: the lowest rate while the beans hardly grew hotter.
    """

    FALLING = "falling"
    RISE = "rise"
    SUDDEN_FALL = "sudden_fall"
    REBOUND = "rebound"
    STALL = "stall"


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing the rate did, from `from_s` to `to_s` (elapsed); `size` as the kind says."""

    kind: FindingKind
    from_s: float
    to_s: float
    size: float

    @property
    def lasted_s(self) -> float:
        return self.to_s - self.from_s


def finding_words(finding: Finding, degrees: Degrees = CELSIUS) -> str:
    """The finding as a sentence, in the degrees that are wanted."""
    size = f"{degrees.difference(finding.size):.1f} {degrees.unit}/min".replace("-", "−")
    span = f"from {clock(finding.from_s)} to {clock(finding.to_s)}"
    match finding.kind:
        case FindingKind.FALLING:
            return f"The rate fell all the way {span}, by {size}."
        case FindingKind.RISE:
            return f"The rate rose again by {size}, {span}."
        case FindingKind.SUDDEN_FALL:
            return (
                f"Sudden fall around first crack: the rate fell by {size} more than its steady "
                f"decline, {span}."
            )
        case FindingKind.REBOUND:
            return f"Rebound after the sudden fall: the rate rose by {size}, {span}."
        case FindingKind.STALL:
            return (
                f"Stall: hardly any rise for {finding.lasted_s:.0f} s, {span}; lowest rate {size}."
            )


def clock(seconds: float) -> str:
    """Minutes and seconds, `8:05`."""
    whole = round(seconds)
    return f"{whole // 60}:{whole % 60:02d}"
