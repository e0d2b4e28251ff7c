"""A roast as it truly was: no noise, no rounding, every moment known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

PREHEAT_S = 40.0
COOLING_S = 45.0
YELLOWING_C = 150.0
CORRIDOR_C = 2.0
STEP_S = 0.25

_FALLS_S = 8.0
"""No probe turns sooner after charge."""


class Kind(StrEnum):
    """How a roast stands to its reference."""

    REPEAT = "repeat"
    DEPARTURE = "departure"
    WRONG = "wrong"


@dataclass(frozen=True, slots=True)
class Curve:
    """A temperature whose rate is a broken line, so that the rate is exactly its derivative.

    `rate_c_per_s` has shape (n,), at multiples of STEP_S from 0.
    """

    rate_c_per_s: Array
    level_c: Array

    @classmethod
    def from_rate(cls, start_c: float, rate_c_per_s: Sequence[float] | Array) -> Curve:
        """Integrate a rate, exactly."""
        rate = np.asarray(rate_c_per_s, dtype=np.float64)
        gained = np.cumsum(0.5 * STEP_S * (rate[1:] + rate[:-1]))
        return cls(rate, start_c + np.concatenate(([0.0], gained)))

    @property
    def time_s(self) -> Array:
        """Times of the nodes, seconds, shape (n,)."""
        return STEP_S * np.arange(len(self.rate_c_per_s), dtype=np.float64)

    def at(self, time_s: Any) -> tuple[Array, Array]:
        """Temperature (°C) and rate (°C/min) at times within the roast, shapes as given."""
        position = np.clip(np.asarray(time_s) / STEP_S, 0.0, len(self.rate_c_per_s) - 1.001)
        k = position.astype(np.int64)
        into_s = (position - k) * STEP_S
        slope, bend = self.rate_c_per_s[k], (self.rate_c_per_s[k + 1] - self.rate_c_per_s[k])
        level = self.level_c[k] + slope * into_s + 0.5 * bend / STEP_S * into_s**2
        return level, 60.0 * (slope + bend / STEP_S * into_s)

    def rises_through(self, bean_c: float, after_s: float) -> float | None:
        """The first time after `after_s` at which the temperature comes up to `bean_c`."""
        first = int(np.ceil(after_s / STEP_S))
        above = np.flatnonzero(self.level_c[first:] >= bean_c)
        if len(above) == 0:
            return None
        k = first + int(above[0])
        if k == first:
            return k * STEP_S
        low, high = self.level_c[k - 1], self.level_c[k]
        return float((k - 1 + (bean_c - low) / (high - low)) * STEP_S)


@dataclass(frozen=True, slots=True)
class Upset:
    """What makes a roast depart: from `at_s` (elapsed) on, coming in over `over_s`.

    `heat` and `air` multiply the controls; steps due after `at_s` come `late_s` late.
    """

    cause: str
    at_s: float
    over_s: float = 0.0
    lasts_s: float = float("inf")
    heat: float = 1.0
    air: float = 1.0
    late_s: float = 0.0

    def share(self, elapsed_s: Any) -> Array:
        """How far it has come in, 0 to 1."""
        into = np.clip((elapsed_s - self.at_s) / max(self.over_s, STEP_S), 0.0, 1.0)
        out = np.clip((elapsed_s - self.at_s - self.over_s - self.lasts_s) / 20.0, 0.0, 1.0)
        share: Array = into - out
        return share


@dataclass(frozen=True, slots=True)
class Roast:
    """One batch. Times in stream seconds; `bean` is the bean probe, lag and all, without noise.

    `upset_s` is when the cause of a departure begins to act (None: there is none).
    """

    family: str
    kind: Kind
    bean: Curve
    air: Curve | None
    charge_s: float
    turning_point_s: float
    yellowing_s: float
    first_crack_s: float
    drop_s: float
    upset: str = ""
    upset_s: float | None = None

    @classmethod
    def charged(
        cls,
        family: str,
        kind: Kind,
        bean: Curve,
        air: Curve | None,
        crack_s: float,
        drop_s: float,
        upset: Upset | None,
    ) -> Roast | None:
        """One charged after PREHEAT_S; crack and drop in elapsed seconds. Turning point and
        yellowing are found in the curve; None if it never came to that."""
        first = round((PREHEAT_S + _FALLS_S) / STEP_S)
        k = first + int(np.argmax(bean.rate_c_per_s[first:] > 0.0))
        below, above = bean.rate_c_per_s[k - 1], bean.rate_c_per_s[k]
        turning_s = float((k - above / (above - below)) * STEP_S)
        yellowing_s = bean.rises_through(YELLOWING_C, turning_s)
        if yellowing_s is None:
            return None
        return cls(
            family=family,
            kind=kind,
            bean=bean,
            air=air,
            charge_s=PREHEAT_S,
            turning_point_s=turning_s,
            yellowing_s=yellowing_s,
            first_crack_s=PREHEAT_S + crack_s,
            drop_s=PREHEAT_S + drop_s,
            upset=upset.cause if upset else "",
            upset_s=PREHEAT_S + upset.at_s if upset else None,
        )

    @property
    def end_s(self) -> float:
        """When the readings end."""
        return self.drop_s + COOLING_S

    @property
    def marks(self) -> dict[str, float]:
        """Stream seconds by mark name, as `Reference.from_readings` wants them."""
        return {
            "charge": self.charge_s,
            "turning_point": self.turning_point_s,
            "yellowing": self.yellowing_s,
            "first_crack": self.first_crack_s,
            "drop": self.drop_s,
        }

    def true_c(self, time_s: Any) -> Array:
        """Bean-probe temperature at stream times."""
        return self.bean.at(time_s)[0]

    def true_rate_c_per_min(self, time_s: Any) -> Array:
        """The exact derivative of `true_c`."""
        return self.bean.at(time_s)[1]

    def deviation_c(self, reference: Roast, from_turning_s: float = 30.0) -> tuple[Array, Array]:
        """Stream times from a while after turning to drop, and °C above `reference` by then.

        Aligned at charge; ends where the reference ends.
        """
        ends_s = min(self.drop_s - self.charge_s, reference.drop_s - reference.charge_s)
        elapsed_s = np.arange(self.turning_point_s - self.charge_s + from_turning_s, ends_s, 1.0)
        there = reference.true_c(elapsed_s + reference.charge_s)
        return elapsed_s + self.charge_s, self.true_c(elapsed_s + self.charge_s) - there

    def leaves_corridor_s(self, reference: Roast) -> float | None:
        """When the roast is first more than CORRIDOR_C off the reference; None if it never is."""
        time_s, off_c = self.deviation_c(reference)
        outside = np.flatnonzero(np.abs(off_c) > CORRIDOR_C)
        return float(time_s[outside[0]]) if len(outside) else None


@dataclass(frozen=True, slots=True)
class Variation:
    """What differs in one batch from the recipe. °C, seconds; shares of the recipe's."""

    charge_c: float = 0.0
    weight: float = 1.0
    moisture: float = 0.0
    power: float = 1.0
    timing_s: float = 0.0
    crack_c: float = 0.0
    crack_strength: float = 1.0
    drop_c: float = 0.0
    drop_delay_s: float = 0.0
    upset: Upset | None = None


class Recipe(Protocol):
    """A coffee on a machine with its control programme."""

    @property
    def family(self) -> str:
        """The name of the family of equations."""

    @property
    def length_s(self) -> float:
        """Charge to drop of the roast after which the programme was written."""

    def roast(self, variation: Variation, rng: np.random.Generator, kind: Kind) -> Roast | None:
        """Carry it out; None if it never cracks."""
