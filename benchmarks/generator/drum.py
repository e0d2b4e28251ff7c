"""A roaster of coupled heat balances: element, drum, air, bean shell and core, probe of two masses.

Nothing here is shared with the practice roaster: the element radiates, beans have a core that
lags their shell, water leaves in proportion to what is left and to its vapour pressure, the
exotherm feeds on itself, and the probe is a sheath with a junction inside, which the beans cover
more closely as they swell.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import exp

import numpy as np

from generator.machine import Beans, Machine, Pilot, Step, drawn_beans, drawn_machine, drawn_pilot
from generator.roast import (
    COOLING_S,
    PREHEAT_S,
    STEP_S,
    Curve,
    Kind,
    Roast,
    Variation,
)

_ROOM_C = 23.0
_KELVIN = 273.15
_LONGEST_S = 1300.0
_LATENT_KJ_PER_KG = 2400.0
_DOOR_KW_PER_K = 0.05
"""How much room air the open door lets in after the drop."""


@dataclass(frozen=True, slots=True)
class DrumRecipe:
    """A programme of control steps, followed by the clock or by the thermometer."""

    family: str
    machine: Machine
    beans: Beans
    preheat_c: float
    by_temperature: bool
    drop_c: float
    development_s: float | None
    steps: tuple[Step, ...] = ()
    length_s: float = 600.0
    pilot: Pilot | None = field(default=None, compare=False)

    def roast(self, variation: Variation, rng: np.random.Generator, kind: Kind) -> Roast | None:
        """See Recipe.roast."""
        run = _Run(self, variation, rng)
        return run.roast(kind) if run.go() else None


class _Run:
    """One batch on its way through the equations."""

    def __init__(self, recipe: DrumRecipe, variation: Variation, rng: np.random.Generator) -> None:
        self.recipe, self.variation = recipe, variation
        self.start_c = recipe.preheat_c + variation.charge_c
        self.drift = float(rng.uniform(-0.4, 0.4)) / 60.0
        preheat = [self.drift] * round(PREHEAT_S / STEP_S)
        self.bean_rate, self.air_rate = preheat, list(preheat)
        self.crack_s: float | None = None
        self.drop_s: float | None = None
        late = variation.upset.late_s if variation.upset else 0.0
        late_from = variation.upset.at_s if variation.upset else 0.0
        spread = variation.timing_s
        self.due_s = [
            s.elapsed_s
            + float(rng.uniform(-spread, spread)) * (s.elapsed_s > 0.0)
            + late * (s.elapsed_s >= late_from)
            for s in recipe.steps
        ]
        self.due_c = [
            s.bean_c
            + 0.1 * float(rng.uniform(-spread, spread))
            + 0.15 * late * (s.elapsed_s >= late_from)
            for s in recipe.steps
        ]

    def roast(self, kind: Kind) -> Roast | None:
        """What came of it."""
        assert self.crack_s is not None and self.drop_s is not None
        bean = Curve.from_rate(self.start_c, self.bean_rate)
        air = Curve.from_rate(self.start_c + 8.0, self.air_rate)
        family, upset = self.recipe.family, self.variation.upset
        return Roast.charged(family, kind, bean, air, self.crack_s, self.drop_s, upset)

    def go(self) -> bool:
        """Integrate from charge to the end of cooling; False if it never cracks."""
        m, b, v, dt = self.recipe.machine, self.recipe.beans, self.variation, STEP_S
        weight = b.weight * v.weight
        dry = weight / (1.0 + b.moisture + v.moisture)
        size = weight**0.8
        crack_c = b.crack_c + v.crack_c
        steam_kj = b.crack_steam_kj * v.crack_strength
        at_c = self.start_c + self.drift * PREHEAT_S
        junction = sheath = at_c
        air = at_c + 6.0
        drum = at_c - 6.0 * m.stem_s / m.sheath_in_air_s
        air_probe = at_c + 8.0
        shell = core = _ROOM_C
        water, burnt, swell = b.moisture + v.moisture, 0.0, 0.0
        pilot, upset = self.recipe.pilot, v.upset
        heat, blow = (pilot.heat, pilot.air) if pilot else (0.6, 0.4)
        power = m.power * v.power
        element = ((drum + _KELVIN) ** 4 + 0.4 * m.power / m.radiation) ** 0.25
        next_step, next_look, last_rate, rate, covered = 0, 0.0, 0.0, 0.0, 0.0
        elapsed, turned = 0.0, False
        bean_rate, air_rate = self.bean_rate, self.air_rate
        while self.drop_s is None or elapsed < self.drop_s + COOLING_S:
            rate = (sheath - junction) / m.junction_s
            bean_rate.append(rate)
            air_rate.append((air - air_probe) / 4.0)
            turned = turned or (elapsed > 20.0 and rate > 0.0)
            if self.drop_s is None:
                if pilot:
                    if elapsed >= next_look:
                        bend = (rate - last_rate) * 60.0 / (pilot.every_s / 60.0)
                        now = pilot.decide(elapsed, junction, rate * 60.0, bend, self.recipe.drop_c)
                        heat, blow = now.heat, now.air
                        last_rate, next_look = rate, next_look + pilot.every_s
                else:
                    while next_step < len(self.due_s) and self._due(
                        next_step, elapsed, junction, turned
                    ):
                        heat = self.recipe.steps[next_step].heat
                        blow = self.recipe.steps[next_step].air
                        next_step += 1
                if self.crack_s is None and core >= crack_c:
                    self.crack_s = elapsed
                if self.crack_s is not None and self._done(elapsed, junction):
                    self.drop_s = elapsed
                if elapsed > _LONGEST_S:
                    return False
            given, flow = heat, blow
            if upset is not None:
                share = float(upset.share(elapsed))
                given *= 1.0 + (upset.heat - 1.0) * share
                flow *= 1.0 + (upset.air - 1.0) * share
            inside = self.drop_s is None
            if inside:
                covered += (1.0 - covered) * dt / 9.0
            else:
                covered -= covered * dt / 3.0
                given, flow = 0.0, 1.0
            blown = flow**0.6
            # Element and drum.
            element_c = element - _KELVIN
            radiated = m.radiation * (element**4 - (drum + _KELVIN) ** 4)
            warmed = 0.0006 * blown * (element_c - air)
            element += (power * min(given, 1.1) - radiated - warmed) * dt / m.element
            drum_air = m.drum_to_air * (0.5 + blown) * (drum - air)
            touch = m.drum_to_bean * size * (drum - shell) * covered if inside else 0.0
            drum += (radiated - drum_air - touch - m.drum_to_room * (drum - _ROOM_C)) * dt / m.drum
            # Air, a thin store between blower, drum and beans.
            blowing = m.air_to_bean * size * (0.3 + blown) * (air - shell) if inside else 0.0
            door = 0.0 if inside else _DOOR_KW_PER_K * (1.0 - covered)
            drawn = (m.blower * (0.3 + flow) + door) * (air - _ROOM_C)
            air += (warmed + drum_air - blowing - drawn) * dt / 0.05
            air_probe += (air - air_probe) * dt / 4.0
            # Beans.
            if inside:
                vapour = exp(13.1 * (1.0 - 373.15 / (core + _KELVIN)))
                drying = b.drying * water * vapour / (1.0 + vapour)
                water -= drying * dt
                kindling = 0.004 * exp(0.045 * (shell - 200.0))
                burning = kindling * (0.1 + burnt) * (1.0 - burnt)
                burnt += burning * dt
                burst = 0.0
                if self.crack_s is not None:
                    since = elapsed - self.crack_s
                    tau = b.crack_steam_s
                    burst = -steam_kj * since / tau**2 * exp(-since / tau)
                    burst += (
                        b.crack_heat_kj * exp(-(((since - 4.0 * tau) / tau) ** 2)) / (1.8 * tau)
                    )
                capacity = 1.35 + 0.0022 * shell + 4.2 * water
                conducted = 0.07 * dry * (shell - core)
                to_core = conducted + dry * (-_LATENT_KJ_PER_KG * drying + burst)
                to_shell = touch + blowing - conducted + dry * b.exotherm * burning
                shell += to_shell * dt / (0.4 * dry * capacity)
                core += to_core * dt / (0.6 * dry * capacity)
                swell += (1.0 / (1.0 + exp((188.0 - shell) / 6.0)) - swell) * dt / 10.0
            # Probe.
            in_beans = covered * (1.0 + 0.35 * swell) / m.sheath_s
            sheath += dt * (
                in_beans * (shell - sheath)
                + (air - sheath) * (1.0 if inside else 2.0) / m.sheath_in_air_s
                + (drum - sheath) / m.stem_s
            )
            junction += rate * dt
            elapsed += dt
        return True

    def _due(self, k: int, elapsed_s: float, bean_c: float, turned: bool) -> bool:
        if self.recipe.by_temperature and self.recipe.steps[k].elapsed_s > 150.0:
            return turned and bean_c >= self.due_c[k]
        return elapsed_s >= self.due_s[k]

    def _done(self, elapsed_s: float, bean_c: float) -> bool:
        assert self.crack_s is not None
        developed_s = elapsed_s - self.crack_s
        if self.recipe.development_s is not None:
            return developed_s >= self.recipe.development_s + self.variation.drop_delay_s
        hot = bean_c >= self.recipe.drop_c + self.variation.drop_c
        return developed_s >= 20.0 and (hot or developed_s > 240.0)


def drum_recipe(family: str, rng: np.random.Generator) -> DrumRecipe:
    """Roast a coffee for the first time on a new machine and write down what was done.

    `family` is "drum", "thick probe" or "air".
    """
    u = rng.uniform
    while True:
        weight = float(u(0.4, 2.0))
        quick = rng.random() < 0.4
        recipe = DrumRecipe(
            family=family,
            machine=drawn_machine(family, rng, weight),
            beans=drawn_beans(rng, weight),
            preheat_c=float(u(180.0, 225.0)),
            by_temperature=bool(rng.random() < 0.4),
            drop_c=float(u(205.0, 222.0)),
            development_s=float(u(60.0, 140.0)) if rng.random() < 0.6 else None,
        )
        pilot = drawn_pilot(rng, quick)
        first = replace(recipe, pilot=pilot).roast(Variation(), rng, Kind.REPEAT)
        if first is None:
            continue
        length_s = first.drop_s - first.charge_s
        steps = [s for s in pilot.written if s.elapsed_s < length_s]
        changes = [
            s for k, s in enumerate(steps)
            if k == 0 or (s.heat, s.air) != (steps[k - 1].heat, steps[k - 1].air)
        ]  # fmt: skip
        if 360.0 <= length_s <= 960.0:
            return replace(recipe, steps=tuple(changes), length_s=length_s)
