"""What is expected of a roast."""

from __future__ import annotations

from typing import Protocol


class Course(Protocol):
    """What is expected of a roast: its reference laid in stream time."""

    @property
    def turned_s(self) -> float:
        """When it turns, stream seconds."""

    def at(self, time_s: float) -> tuple[float, float]:
        """Bean temperature (°C) and slope (°C/s) expected at a stream time."""

    def place_s(self, bean_c: float) -> float | None:
        """Stream time at which its rising part has this temperature; None outside of it."""
