"""Degrees as people want to read them; everything inside is °C."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Degrees:
    """Celsius, or Fahrenheit if asked for."""

    fahrenheit: bool = False

    @property
    def unit(self) -> str:
        """`°C` or `°F`."""
        return "°F" if self.fahrenheit else "°C"

    @property
    def per_c(self) -> float:
        """How many shown degrees one °C of difference is."""
        return 1.8 if self.fahrenheit else 1.0

    @property
    def zero(self) -> float:
        """What 0 °C is shown as."""
        return 32.0 if self.fahrenheit else 0.0

    def temperature(self, value_c: float | None) -> float | None:
        """A temperature to show."""
        return None if value_c is None else value_c * self.per_c + self.zero

    def difference(self, value_c: float | None) -> float | None:
        """A difference of temperatures, or a rate, to show."""
        return None if value_c is None else value_c * self.per_c


CELSIUS = Degrees()
FAHRENHEIT = Degrees(fahrenheit=True)
