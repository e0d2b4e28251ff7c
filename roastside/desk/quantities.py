"""The figures of a roast by which repeats are compared, and how each is written."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from roastside.core.findings import clock
from roastside.core.units import CELSIUS, Degrees


class Kind(Enum):
    """What a figure measures."""

    TEMPERATURE = "°C"
    DIFFERENCE = "°C of difference"
    DURATION = "s"
    SHARE = "share, 0 to 1"
    SCORE = ""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A figure: its column in the table of figures, its name in words, what it measures."""

    column: str
    name: str
    kind: Kind
    rises: str
    falls: str

    def shown(self, value: float, degrees: Degrees = CELSIUS) -> str:
        """A value of it with its unit."""
        match self.kind:
            case Kind.TEMPERATURE:
                return f"{degrees.temperature(value):.1f} {degrees.unit}"
            case Kind.DURATION:
                return clock(value)
            case _:
                return self.difference(value, degrees)

    def difference(self, value: float, degrees: Degrees = CELSIUS, decimals: int = 1) -> str:
        """A difference or spread of it with its unit."""
        match self.kind:
            case Kind.TEMPERATURE | Kind.DIFFERENCE:
                return f"{degrees.difference(value):.{decimals}f} {degrees.unit}"
            case Kind.DURATION:
                return f"{value:.{decimals}f} s"
            case Kind.SHARE:
                return f"{100.0 * value:.{decimals}f} %"
            case Kind.SCORE:
                return f"{value:.{decimals}f}"

    def drift_words(self, per_week: float, by_chance: float, degrees: Degrees = CELSIUS) -> str:
        """A drift that is more than chance, as a sentence."""
        way = self.rises if per_week > 0.0 else self.falls
        size = self.difference(abs(per_week), degrees)
        if not any(digit in size for digit in "123456789"):
            size = self.difference(abs(per_week), degrees, decimals=2)
        chance = "less than 0.1 %" if by_chance < 0.001 else f"{100.0 * by_chance:.1f} %"
        return f"{self.name} {way} by {size} a week (by chance: {chance})."


_UP, _DOWN = "creeps up", "creeps down"
_LATER, _EARLIER = "comes later", "comes earlier"
_LONGER, _SHORTER = "gets longer", "gets shorter"

QUANTITIES = (
    Quantity("total_s", "Total time", Kind.DURATION, _LONGER, _SHORTER),
    Quantity("charge_c", "Charge temperature", Kind.TEMPERATURE, _UP, _DOWN),
    Quantity("turning_point_s", "Turning point", Kind.DURATION, _LATER, _EARLIER),
    Quantity("turning_point_c", "Turning point temperature", Kind.TEMPERATURE, _UP, _DOWN),
    Quantity("drying_share", "Share of drying", Kind.SHARE, _UP, _DOWN),
    Quantity("browning_share", "Share of browning", Kind.SHARE, _UP, _DOWN),
    Quantity("first_crack_s", "First crack", Kind.DURATION, _LATER, _EARLIER),
    Quantity("first_crack_c", "First crack temperature", Kind.TEMPERATURE, _UP, _DOWN),
    Quantity("development_s", "Development", Kind.DURATION, _LONGER, _SHORTER),
    Quantity("development_share", "Development ratio", Kind.SHARE, _UP, _DOWN),
    Quantity("drop_c", "Drop temperature", Kind.TEMPERATURE, _UP, _DOWN),
    Quantity("loss_share", "Roast loss", Kind.SHARE, _UP, _DOWN),
    Quantity("worst_departure_c", "Worst departure", Kind.DIFFERENCE, _UP, _DOWN),
    Quantity("cup_score", "Cup score", Kind.SCORE, _UP, _DOWN),
)
