"""A small electric roaster: one warm body behind a few hundred grams of beans, by Newton's law.

Nothing of this is in the other families. The surroundings (element, wall and air in one) go by
themselves to where the switch would have them, and the beans draw on them; the beans go to the
surroundings at a rate of their own, less what drying takes; the probe is two lags, and sees a
little of the surroundings. So the rate of rise is high at first and falls away fast.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from generator.roast import (
    COOLING_S,
    PREHEAT_S,
    STEP_S,
    Curve,
    Kind,
    Roast,
    Variation,
)

_ROOM_C = 21.0
_LONGEST_S = 1100.0
_TAKE_S = 4.0
"""Beans pour in, and out, within so many seconds."""


@dataclass(frozen=True, slots=True)
class Switch:
    """Where heat and air stand (shares of the most) from an elapsed time on."""

    elapsed_s: float
    heat: float
    air: float


@dataclass(frozen=True, slots=True)
class SmallRecipe:
    """A machine, a coffee and when its switch is turned. Seconds, °C, °C/s.

    The surroundings go to `hottest_c` at full heat without air within `wall_s`, and to the beans by
    `drawn` of the way; the beans follow them within `bean_s`. Drying takes `drying` at its peak.
    First crack takes `dip` at most, `dip_s` after it, and gives `flare` back later. The probe lags
    by `probe_s` and `tip_s`, and `seen` of what it sees are the surroundings.
    """

    family: str
    preheat_c: float
    hottest_c: float
    wall_s: float
    drawn: float
    bean_s: float
    drying: float
    dries_at_c: float
    crack_c: float
    dip: float
    dip_s: float
    flare: float
    probe_s: float
    tip_s: float
    seen: float
    air_probe: bool
    switches: tuple[Switch, ...]
    drop_c: float
    development_s: float | None
    length_s: float = 480.0

    def roast(self, variation: Variation, rng: np.random.Generator, kind: Kind) -> Roast | None:
        """See Recipe.roast."""
        run = _Run(self, variation, rng)
        return run.roast(kind) if run.go() else None


class _Run:
    """One batch, step by step. Rates in °C/s, one more a step."""

    def __init__(self, recipe: SmallRecipe, variation: Variation, rng: np.random.Generator) -> None:
        self.recipe, self.variation = recipe, variation
        self.start_c = recipe.preheat_c + variation.charge_c
        drift = float(rng.uniform(-0.4, 0.4)) / 60.0
        self.bean_rate = [drift] * round(PREHEAT_S / STEP_S)
        self.air_rate = list(self.bean_rate)
        self.drift = drift
        self.crack_s = self.drop_s = float("inf")
        upset, spread = variation.upset, variation.timing_s
        self.turns_s = [
            0.0
            if switch.elapsed_s == 0.0
            else switch.elapsed_s
            + float(rng.uniform(-spread, spread))
            + (upset.late_s if upset and switch.elapsed_s >= upset.at_s else 0.0)
            for switch in recipe.switches
        ]

    def go(self) -> bool:
        """From charge to the end of cooling; False if it never cracks or rises too slowly."""
        r, v, dt = self.recipe, self.variation, STEP_S
        probe = self.start_c + self.drift * PREHEAT_S
        tip, wall, air_probe, bean = probe, probe + 15.0, probe + 10.0, _ROOM_C
        bean_s = r.bean_s * v.weight * (1.0 + 4.0 * v.moisture)
        drying = r.drying * (1.0 + 10.0 * v.moisture)
        elapsed, turned = 0.0, False
        while elapsed < self.drop_s + COOLING_S:
            inside = elapsed < self.drop_s
            heat, air = self._controls(elapsed) if inside else (0.0, 1.0)
            if not inside:
                bean += (_ROOM_C - bean) * dt / 8.0  # what the emptied probe comes to
            flow = 0.8 + 0.5 * air
            goes_to = _ROOM_C + (r.hottest_c * v.power - _ROOM_C) * heat * (1.0 - 0.25 * air)
            rate = (probe - tip) / r.tip_s
            self.bean_rate.append(rate)
            self.air_rate.append((wall - air_probe) / 5.0)
            turned = turned or (elapsed > 15.0 and rate > 0.0)
            if inside and turned and tip >= r.crack_c + v.crack_c:
                self.crack_s = min(self.crack_s, elapsed)
            if inside and self._done(elapsed, tip):
                self.drop_s = elapsed
            if inside and elapsed > _LONGEST_S:
                return False
            wall += dt * (goes_to - wall - r.drawn * flow * (wall - bean)) / r.wall_s
            if inside:
                wet = np.exp(-0.5 * ((bean - r.dries_at_c) / 25.0) ** 2)
                bean += dt * (flow * (wall - bean) / bean_s - drying * float(wet))
                bean += dt * self._cracking(elapsed)
            poured = 1.0 - np.exp(-elapsed / _TAKE_S)
            sees = bean + r.seen * (wall - bean)
            probe += dt * float(poured) * (sees - probe) / r.probe_s
            air_probe += dt * (wall - air_probe) / 5.0
            tip += dt * rate
            elapsed += dt
        return True

    def _controls(self, elapsed_s: float) -> tuple[float, float]:
        heat, air = next(
            (switch.heat, switch.air)
            for switch, at_s in zip(
                reversed(self.recipe.switches), reversed(self.turns_s), strict=True
            )
            if elapsed_s >= at_s
        )
        if upset := self.variation.upset:
            share = float(upset.share(elapsed_s))
            heat *= 1.0 + (upset.heat - 1.0) * share
            air *= 1.0 + (upset.air - 1.0) * share
        return min(heat, 1.15), air

    def _cracking(self, elapsed_s: float) -> float:
        """What first crack adds to the rate of the beans, °C/s."""
        since = (elapsed_s - self.crack_s) / self.recipe.dip_s
        if since <= 0.0:
            return 0.0
        taken = self.recipe.dip * self.variation.crack_strength * since * np.exp(1.0 - since)
        given = self.recipe.flare / (1.0 + np.exp(6.0 - 2.0 * since))
        return float(given - taken) / 60.0

    def _done(self, elapsed_s: float, tip_c: float) -> bool:
        r, v = self.recipe, self.variation
        developed_s = elapsed_s - self.crack_s
        if r.development_s is not None:
            return developed_s >= r.development_s + v.drop_delay_s
        return developed_s >= 20.0 and (tip_c >= r.drop_c + v.drop_c or developed_s > 200.0)

    def roast(self, kind: Kind) -> Roast | None:
        """What came of it; None if it passed no yellowing."""
        bean, air = Curve.from_rate(self.start_c, self.bean_rate), None
        if self.recipe.air_probe:
            air = Curve.from_rate(self.start_c + 10.0, self.air_rate)
        family, upset = self.recipe.family, self.variation.upset
        return Roast.charged(family, kind, bean, air, self.crack_s, self.drop_s, upset)


def small_recipe(rng: np.random.Generator) -> SmallRecipe:
    """Draw a machine, a coffee and a way of turning the switch, until it makes a roast."""
    u = rng.uniform
    while True:
        heat, air = float(u(0.8, 1.0)), float(u(0.0, 0.4))
        switches = [Switch(0.0, heat, air)]
        for at_s in np.sort(u(120.0, 520.0, rng.integers(1, 5))).tolist():
            heat, air = heat - float(u(0.02, 0.1)), min(air + float(u(0.0, 0.2)), 1.0)
            switches.append(Switch(at_s, heat, air))
        drop_c = float(u(204.0, 222.0))
        recipe = SmallRecipe(
            family="small",
            preheat_c=float(u(165.0, 220.0)),
            hottest_c=float(u(330.0, 460.0)),
            wall_s=float(u(40.0, 140.0)),
            drawn=float(u(0.1, 0.5)),
            bean_s=float(u(110.0, 240.0)),
            drying=float(u(0.0, 0.06)),
            dries_at_c=float(u(100.0, 130.0)),
            crack_c=drop_c - float(u(7.0, 20.0)),
            dip=float(u(0.0, 6.0)),
            dip_s=float(u(6.0, 14.0)),
            flare=float(u(0.0, 3.0)) if rng.random() < 0.4 else 0.0,
            probe_s=float(u(6.0, 20.0)),
            tip_s=float(u(0.5, 3.0)),
            seen=float(u(0.0, 0.12)),
            air_probe=bool(rng.random() < 0.5),
            switches=tuple(switches),
            drop_c=drop_c,
            development_s=float(u(50.0, 110.0)) if rng.random() < 0.6 else None,
        )
        first = recipe.roast(Variation(), rng, Kind.REPEAT)
        if first is None:
            continue
        length_s = first.drop_s - first.charge_s
        slowest = float(
            np.min(first.true_rate_c_per_min(np.arange(first.yellowing_s, first.drop_s, 1.0)))
        )
        if 320.0 <= length_s <= 720.0 and slowest > 1.5:
            return replace(recipe, length_s=length_s)
