"""Roasts with no physics at all: the rate of rise is drawn as a smooth curve, then integrated."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from generator.roast import (
    COOLING_S,
    PREHEAT_S,
    STEP_S,
    YELLOWING_C,
    Array,
    Curve,
    Kind,
    Roast,
    Variation,
)

_LONGEST_S = 1300.0
_SHAPES = ("line", "exponential", "logarithm", "hump")


@dataclass(frozen=True, slots=True)
class Bump:
    """A passing rise or fall of the rate (°C/min), `width_s` to either side of `at_s`."""

    at_s: float
    width_s: float
    height: float
    lopsided: float

    def drawn(self, elapsed_s: Array, shift_s: float, scale: float) -> Array:
        """The bump, with its later side `lopsided` times as wide."""
        since = elapsed_s - self.at_s - shift_s
        width = np.where(since < 0.0, self.width_s, self.width_s * self.lopsided)
        drawn: Array = scale * self.height * np.exp(-0.5 * (since / width) ** 2)
        return drawn


@dataclass(frozen=True, slots=True)
class DrawnRecipe:
    """A drawn rate: plunge, rise, decline, bumps, and what first crack does to it."""

    family: str
    shape: str
    preheat_c: float
    plunge_c: float
    plunge_s: float
    probe_s: float
    rise_s: float
    top_rate: float
    end_rate: float
    length_s: float
    bumps: tuple[Bump, ...]
    crack_c: float
    dip: float
    dip_s: float
    rebound: float
    drop_c: float
    development_s: float | None

    def roast(self, variation: Variation, rng: np.random.Generator, kind: Kind) -> Roast | None:
        """See Recipe.roast."""
        elapsed_s = STEP_S * np.arange(round(_LONGEST_S / STEP_S), dtype=np.float64)
        # A hotter probe falls further, but most of it comes back.
        plunge_c = self.plunge_c + 0.85 * variation.charge_c
        rate = -plunge_c * _pulse(elapsed_s, self.plunge_s, self.probe_s)
        rising = self._rising(elapsed_s, variation, rng)
        rate += rising / 60.0
        start_c = self.preheat_c + variation.charge_c
        drift = float(rng.uniform(-0.4, 0.4)) / 60.0
        curve = Curve.from_rate(start_c + drift * PREHEAT_S, rate)
        turning_s = _turning_s(rate)
        crack_s = curve.rises_through(self.crack_c + variation.crack_c, turning_s)
        if crack_s is None:
            return None
        since = np.maximum(elapsed_s - crack_s, 0.0) / self.dip_s
        rate -= variation.crack_strength * self.dip / 60.0 * since * np.exp(1.0 - since)
        rate += self.rebound / 60.0 * np.exp(-0.5 * (since - 4.0) ** 2) * (since > 0.0)
        curve = Curve.from_rate(start_c + drift * PREHEAT_S, rate)
        drop_s = self._drop_s(curve, crack_s, variation)
        yellowing_s = curve.rises_through(YELLOWING_C, turning_s)
        if drop_s is None or yellowing_s is None:
            return None
        last = round(drop_s / STEP_S)
        after = STEP_S * np.arange(round(COOLING_S / STEP_S) + 2, dtype=np.float64)
        cooling = rate[last] * np.exp(-after / 4.0) - 75.0 * _pulse(after, 28.0, 4.0)
        preheat = np.full(round(PREHEAT_S / STEP_S), drift)
        upset = variation.upset
        return Roast(
            family=self.family,
            kind=kind,
            bean=Curve.from_rate(start_c, np.concatenate((preheat, rate[:last], cooling))),
            air=None,
            charge_s=PREHEAT_S,
            turning_point_s=PREHEAT_S + turning_s,
            yellowing_s=PREHEAT_S + yellowing_s,
            first_crack_s=PREHEAT_S + crack_s,
            drop_s=PREHEAT_S + last * STEP_S,
            upset=upset.cause if upset else "",
            upset_s=PREHEAT_S + upset.at_s if upset else None,
        )

    def _rising(self, elapsed_s: Array, variation: Variation, rng: np.random.Generator) -> Array:
        """What the heat gives, °C/min, apart from the plunge."""
        spread, upset = variation.timing_s, variation.upset
        rate = self._declining(elapsed_s)
        for bump in self.bumps:
            late = upset.late_s if upset and bump.at_s >= upset.at_s else 0.0
            shift_s = late + float(rng.uniform(-spread, spread))
            rate = rate + bump.drawn(elapsed_s, shift_s, 1.0 + 0.02 * spread * rng.normal())
        rate = rate + 0.07 * spread * _wander(elapsed_s, rng)
        rate = rate * variation.weight**-0.6 * variation.power**0.6
        # Water takes its heat before yellowing, most of it.
        rate = rate * (1.0 - 3.0 * variation.moisture * np.exp(-elapsed_s / (0.5 * self.length_s)))
        if upset is not None:
            slow = _lagged(upset.share(elapsed_s), 25.0)
            rate = rate * (1.0 + 0.7 * (upset.heat - 1.0) * slow)
        rate = np.maximum(rate, 0.5)
        rising: Array = rate * (1.0 - np.exp(-((elapsed_s / self.rise_s) ** 2)))
        return rising

    def _declining(self, elapsed_s: Array) -> Array:
        """What is left of the rate without bumps: the top rate at charge, less and less after."""
        share = elapsed_s / self.length_s
        top, end = self.top_rate, self.end_rate
        rate: Array
        match self.shape:
            case "line":
                rate = top + (end - top) * share
            case "exponential":
                rate = top * np.exp(share * np.log(end / top))
            case "logarithm":
                rate = top + (end - top) * np.log1p(8.0 * share) / np.log(9.0)
            case _:
                hump = 0.25 * np.exp(-0.5 * ((share - 0.6) / 0.17) ** 2)
                rate = end + (top - end) * (np.exp(-2.2 * share) + hump)
        return rate

    def _drop_s(self, curve: Curve, crack_s: float, variation: Variation) -> float | None:
        if self.development_s is not None:
            drop_s = crack_s + self.development_s + variation.drop_delay_s
        else:
            hot_s = curve.rises_through(self.drop_c + variation.drop_c, crack_s + 20.0)
            drop_s = min(hot_s or _LONGEST_S, crack_s + 240.0)
        return drop_s if drop_s < _LONGEST_S - 2.0 else None


def _pulse(elapsed_s: Array, slow_s: float, fast_s: float) -> Array:
    """A push of area 1 that comes in over `fast_s` and dies away over `slow_s`, 1/s."""
    pulse: Array = (np.exp(-elapsed_s / slow_s) - np.exp(-elapsed_s / fast_s)) / (slow_s - fast_s)
    return pulse


def _turning_s(rate: Array) -> float:
    first = round(8.0 / STEP_S)
    k = first + int(np.argmax(rate[first:] > 0.0))
    return float((k - rate[k] / (rate[k] - rate[k - 1])) * STEP_S)


def _wander(elapsed_s: Array, rng: np.random.Generator) -> Array:
    """A smooth random course of standard deviation about 1."""
    total: Array = np.zeros_like(elapsed_s)
    for _ in range(6):
        period_s = float(np.exp(rng.uniform(np.log(60.0), np.log(500.0))))
        total += np.sin(2.0 * np.pi * (elapsed_s / period_s + rng.random())) / np.sqrt(3.0)
    return total


def _lagged(share: Array, lag_s: float) -> Array:
    """What a first-order lag makes of it, by a sum over its whole memory."""
    memory = np.exp(-STEP_S * np.arange(round(6.0 * lag_s / STEP_S)) / lag_s)
    lagged: Array = np.convolve(share, memory / memory.sum())[: len(share)]
    return lagged


def drawn_recipe(rng: np.random.Generator) -> DrawnRecipe:
    """Draw a rate and scale it so that it ends where it should, when it should."""
    u = rng.uniform
    while True:
        length_s = float(u(380.0, 900.0))
        preheat_c, drop_c = float(u(170.0, 225.0)), float(u(203.0, 225.0))
        bottom_c = float(u(45.0, 85.0))
        end = float(u(0.25, 0.75))
        bumps = tuple(
            Bump(
                at_s=float(u(100.0, length_s)),
                width_s=float(np.exp(u(np.log(10.0), np.log(80.0)))),
                height=float(rng.normal(0.0, 0.12)),
                lopsided=float(u(0.5, 2.5)),
            )
            for _ in range(rng.integers(2, 8))
        )
        draft = DrawnRecipe(
            family="drawn",
            shape=str(rng.choice(_SHAPES)),
            preheat_c=preheat_c,
            plunge_c=preheat_c - bottom_c,
            plunge_s=float(u(12.0, 30.0)),
            probe_s=float(u(1.0, 6.0)),
            rise_s=float(u(25.0, 70.0)),
            top_rate=1.6,
            end_rate=1.6 * end,
            length_s=length_s,
            bumps=bumps,
            crack_c=drop_c - float(u(8.0, 22.0)),
            dip=0.0,
            dip_s=float(u(6.0, 16.0)),
            rebound=0.0,
            drop_c=drop_c,
            development_s=None,
        )
        within = STEP_S * np.arange(round(length_s / STEP_S), dtype=np.float64)
        gained_c = float(np.sum(draft._rising(within, Variation(), rng))) * STEP_S / 60.0
        scale = (drop_c - bottom_c) / gained_c
        recipe = _scaled(draft, scale, rng)
        if recipe.end_rate >= 2.5 and recipe.top_rate <= 30.0:
            return recipe


def _scaled(draft: DrawnRecipe, scale: float, rng: np.random.Generator) -> DrawnRecipe:
    return replace(
        draft,
        top_rate=draft.top_rate * scale,
        end_rate=draft.end_rate * scale,
        bumps=tuple(replace(bump, height=bump.height * scale) for bump in draft.bumps),
        dip=float(rng.uniform(0.0, 5.0)),
        rebound=float(rng.uniform(0.0, 3.0)) if rng.random() < 0.5 else 0.0,
        development_s=float(rng.uniform(60.0, 140.0)) if rng.random() < 0.5 else None,
    )
