"""Roasts to measure with: a reference, and a roast that repeats it, departs from it, or is another.

Every case follows from its index and the seed alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from generator.drawn import drawn_recipe
from generator.drum import drum_recipe
from generator.preheat import preheated
from generator.roast import CORRIDOR_C, Kind, Recipe, Roast, Upset, Variation
from generator.sensor import SENSOR_CLASSES, Sensor, Stream, seen, sensor_of
from generator.small import small_recipe

FAMILIES = ("drum", "drawn", "thick probe", "air", "small")

_KINDS = (Kind.REPEAT, Kind.REPEAT, Kind.DEPARTURE, Kind.DEPARTURE, Kind.WRONG)
_ROASTS_A_COFFEE = 5
_MILD_C = 2.2 * CORRIDOR_C
_WORST_C = 40.0


class Coffee:
    """A recipe, the reference roast of it, and further batches. All follow from the seed."""

    def __init__(self, family: str, seed: int) -> None:
        self.family = family
        self._seed = (seed, FAMILIES.index(family))
        self.recipe, self.reference = _coffee(family, seed)

    def repeat(self, number: int) -> Roast:
        """A batch that stays near the reference."""
        rng = np.random.default_rng([*self._seed, number, 1])
        scale = 1.0
        while True:
            roast = self.recipe.roast(_batch(rng, scale), rng, Kind.REPEAT)
            if roast and _worst_c(roast, self.reference) <= 0.9 * CORRIDOR_C:
                return roast
            scale *= 0.8

    def departure(self, number: int) -> Roast:
        """A batch that leaves the corridor."""
        rng = np.random.default_rng([*self._seed, number, 2])
        cause, sign, at_share = _CAUSES[rng.integers(len(_CAUSES))], rng.choice((-1.0, 1.0)), None
        size = float(rng.uniform(0.6, 1.4))
        at_share = float(rng.uniform(0.15, 0.75))
        for _ in range(12):
            variation = _upset(cause, sign, size, at_share * self.recipe.length_s, rng)
            roast = self.recipe.roast(variation, rng, Kind.DEPARTURE)
            worst_c = _worst_c(roast, self.reference) if roast else _WORST_C
            if roast and _MILD_C <= worst_c < _WORST_C:
                return roast
            size *= 1.5 if worst_c < _MILD_C else 0.7
            if size > 8.0:
                cause, size, at_share = "wrong heat", 1.0, min(at_share, 0.5)
        return self.departure(number + 10_000)

    def wrong(self, number: int) -> Roast:
        """A batch of another coffee, or machine, followed against this one's reference."""
        rng = np.random.default_rng([*self._seed, number, 3])
        family = self.family if rng.random() < 0.6 else str(rng.choice(FAMILIES))
        other = Coffee(family, self._seed[0] + 50_000 + number)
        roast = None
        while roast is None:
            roast = other.recipe.roast(_batch(rng, 1.0), rng, Kind.WRONG)
        return roast


@lru_cache(maxsize=64)
def _coffee(family: str, seed: int) -> tuple[Recipe, Roast]:
    rng = np.random.default_rng([seed, FAMILIES.index(family), 4])
    while True:
        recipe = _recipe(family, rng)
        roast = recipe.roast(Variation(), rng, Kind.REPEAT)
        if roast is None:
            continue
        lasts_s, hottest_c = roast.drop_s - roast.charge_s, float(roast.true_c(roast.drop_s))
        if 340.0 <= lasts_s <= 980.0 and hottest_c <= 235.0:
            return recipe, roast


def _recipe(family: str, rng: np.random.Generator) -> Recipe:
    match family:
        case "drawn":
            return drawn_recipe(rng)
        case "small":
            return small_recipe(rng)
        case _:
            return drum_recipe(family, rng)


def _worst_c(roast: Roast, reference: Roast) -> float:
    return float(np.max(np.abs(roast.deviation_c(reference)[1]), initial=0.0))


def _batch(rng: np.random.Generator, scale: float) -> Variation:
    """What differs from batch to batch when everything is done right."""
    return Variation(
        charge_c=scale * float(rng.uniform(-1.5, 1.5)),
        weight=1.0 + scale * 0.01 * float(rng.uniform(-1.0, 1.0)),
        moisture=scale * 0.001 * float(rng.uniform(-1.0, 1.0)),
        power=1.0 + scale * 0.012 * float(rng.uniform(-1.0, 1.0)),
        timing_s=2.0 * scale,
        crack_c=float(rng.normal(0.0, 1.2)),
        crack_strength=float(np.exp(rng.normal(0.0, 0.3))),
        drop_c=float(rng.normal(0.0, 0.7)),
        drop_delay_s=float(rng.normal(0.0, 4.0)),
    )


_CAUSES = (
    "wrong heat",
    "late control",
    "wrong air",
    "power sag",
    "slow drift of power",
    "other weight",
    "other moisture",
    "charge temperature",
)


def _upset(
    cause: str, sign: float, size: float, at_s: float, rng: np.random.Generator
) -> Variation:
    """An ordinary batch with one thing wrong. `sign` +1 makes it hotter."""
    batch = _batch(rng, 1.0)
    fields = {name: getattr(batch, name) for name in batch.__slots__}
    match cause:
        case "wrong heat":
            upset = Upset(cause, at_s, heat=1.0 + sign * 0.22 * size)
        case "late control":
            upset = Upset(cause, at_s, late_s=60.0 * size)
        case "wrong air":
            upset = Upset(cause, at_s, air=max(1.0 - sign * 0.35 * size, 0.0), heat=1 + 0.1 * sign)
        case "power sag":
            lasts_s = float(rng.uniform(30.0, 120.0))
            upset = Upset(cause, at_s, lasts_s=lasts_s, heat=max(1.0 - 0.35 * size, 0.0))
        case "slow drift of power":
            over_s = float(rng.uniform(90.0, 300.0))
            upset = Upset(cause, at_s, over_s=over_s, heat=1.0 + sign * 0.2 * size)
        case "other weight":
            upset = Upset(cause, 0.0)
            fields["weight"] *= 1.0 - sign * 0.06 * size
        case "other moisture":
            upset = Upset(cause, 0.0)
            fields["moisture"] -= sign * 0.015 * size
        case _:
            upset = Upset(cause, 0.0)
            fields["charge_c"] += sign * 14.0 * size
    return Variation(**(fields | {"upset": upset}))


@dataclass(frozen=True, slots=True)
class Case:
    """A roast to follow beside a reference recording, and how both were seen.

    `reference` is the truth behind that recording.
    """

    index: int
    coffee: Coffee
    reference: Roast
    roast: Roast
    sensor_class: str
    sensor: Sensor

    @property
    def kind(self) -> Kind:
        """How the roast stands to the reference."""
        return self.roast.kind

    @property
    def family(self) -> str:
        """Which equations made it."""
        return self.coffee.family

    def stream(self, sensor: Sensor | None = None) -> Stream:
        """The roast as seen, through another sensor if one is given (with the same noise)."""
        return seen(self.roast, sensor or self.sensor, 2 * self.index)

    def reference_stream(self) -> Stream:
        """The reference as it was recorded, on the same adapter on another day."""
        return seen(self.reference, self.sensor, 2 * self.index + 1)


def case(index: int, seed: int = 1) -> Case:
    """One of endlessly many cases: families, kinds and sensor classes in turn."""
    number, turn = divmod(index, _ROASTS_A_COFFEE)
    group, which = divmod(number, len(FAMILIES))
    coffee = Coffee(FAMILIES[which], 1000 * seed + group)
    kind = _KINDS[turn]
    make = {Kind.REPEAT: coffee.repeat, Kind.DEPARTURE: coffee.departure, Kind.WRONG: coffee.wrong}
    sensor_class = SENSOR_CLASSES[(turn + 5 * number + group) % len(SENSOR_CLASSES)]
    sensor = sensor_of(sensor_class, np.random.default_rng([seed, index, 5]))
    roast = preheated(make[kind](turn), np.random.default_rng([seed, index, 6]))
    reference = preheated(coffee.reference, np.random.default_rng([seed, index, 7]))
    return Case(index, coffee, reference, roast, sensor_class, sensor)
