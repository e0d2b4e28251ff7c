"""Live against reference: degrees off, and seconds ahead or behind."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot

from roastside.core.plan import Align
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.reference import Reference


@dataclass(frozen=True, slots=True)
class Comparison:
    """Reference values and the departure from them; None is unknown.

    °C, °C per minute, seconds; deviation is live minus reference, `ahead_s` positive when ahead.
    The standard deviations are those of the live estimate and of the reference's curve together.
    `tolerance_c` is half the width of the reference's own corridor here, None if it has none.
    `guessed`: its curve is hardly known here, or where it was as hot, as in a long gap.
    `usual_rate_c_per_min` is its rate, guessed or past its end as it may be.
    """

    reference_bean_c: float | None = None
    reference_rate_c_per_min: float | None = None
    deviation_c: float | None = None
    ahead_s: float | None = None
    deviation_sd_c: float | None = None
    ahead_sd_s: float | None = None
    tolerance_c: float | None = None
    guessed: bool = False
    usual_rate_c_per_min: float | None = None


@dataclass(frozen=True, slots=True)
class LaidReference:
    """A comparator's reference in stream time, for a roast charged at `charge_s`."""

    comparator: Comparator
    charge_s: float

    @property
    def turned_s(self) -> float:
        comparator = self.comparator
        return self.charge_s + comparator.shift_s + comparator.reference.turning_point_s

    def at(self, time_s: float) -> tuple[float, float]:
        """Bean temperature (°C) and slope (°C/s) expected at a stream time."""
        return self.comparator.expected(time_s - self.charge_s)

    def place_s(self, bean_c: float) -> float | None:
        """Stream time at which its rising part has this temperature; None outside of it."""
        place_s = self.comparator.reference.when(bean_c)
        return None if place_s is None else self.charge_s + self.comparator.shift_s + place_s


class Comparator:
    """The reference laid over the live roast, at charge or, once both are known, turning point."""

    def __init__(self, reference: Reference, align: Align = Align.CHARGE) -> None:
        self.reference = reference
        self._align = align
        self.shift_s = 0.0

    def align_turning_point(self, elapsed_s: float | None) -> None:
        """Tell the live turning point (None: unknown), which may shift the reference."""
        if self._align is Align.TURNING_POINT:
            own_s = self.reference.turning_point_s
            self.shift_s = 0.0 if elapsed_s is None else elapsed_s - own_s

    def expected(self, elapsed_s: float) -> tuple[float, float]:
        """Reference bean temperature (°C) and slope (°C/s) at a live elapsed time."""
        return self.reference.at(elapsed_s - self.shift_s)

    def compare(
        self, elapsed_s: float, bean_c: float | None, rising: bool, bean_sd_c: float | None = None
    ) -> Comparison:
        """Compare the estimated bean temperature (°C, with its standard deviation).

        `rising`: the turning point is behind us. Before it, and once the beans fall, a temperature
        stands for two moments, so seconds ahead are unknown.
        """
        at_s = elapsed_s - self.shift_s
        ahead_s = ahead_sd_s = None
        place_s = self.reference.when(bean_c) if bean_c is not None and rising else None
        if place_s is not None:
            ahead_s = place_s - at_s
            climb = self.reference.at(place_s)[1]
            if bean_sd_c is not None and climb > 0.0:
                ahead_sd_s = hypot(bean_sd_c, self.reference.doubt_at(place_s)) / climb
        tolerance_c = self.reference.tolerance_at(at_s)
        places = (at_s,) if place_s is None else (at_s, place_s)
        guessed = any(map(self.reference.guessed, places))
        expected_c, slope = self.reference.at(at_s)
        rate = slope * SECONDS_PER_MINUTE
        if not self.reference.covers(at_s):
            return Comparison(
                ahead_s=ahead_s,
                ahead_sd_s=ahead_sd_s,
                tolerance_c=tolerance_c,
                guessed=guessed,
                usual_rate_c_per_min=rate,
            )
        deviation_sd_c = None
        if bean_c is not None and bean_sd_c is not None:
            deviation_sd_c = hypot(bean_sd_c, self.reference.doubt_at(at_s))
        return Comparison(
            reference_bean_c=expected_c,
            reference_rate_c_per_min=rate,
            deviation_c=None if bean_c is None else bean_c - expected_c,
            ahead_s=ahead_s,
            deviation_sd_c=deviation_sd_c,
            ahead_sd_s=ahead_sd_s,
            tolerance_c=tolerance_c,
            guessed=guessed,
            usual_rate_c_per_min=rate,
        )
