"""What the probe shows before charge: a wait, a warming up, a thermostat at work, a batch before.

The roasts of a family come with the last 40 s before charge, level but for a drift. Nobody charges
forty seconds after opening a recording: this puts minutes in front of them, or takes some away.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from generator.roast import PREHEAT_S, STEP_S, Array, Curve, Roast

_SHORTEST_S, _LONGEST_S = 8.0, 900.0
_ROOM_C = 22.0


def preheated(roast: Roast, rng: np.random.Generator) -> Roast:
    """The same roast after another preheat, 8 s to 15 min long; the roast stays as it was."""
    length_s = float(np.exp(rng.uniform(np.log(_SHORTEST_S), np.log(_LONGEST_S))))
    length_s = STEP_S * round(length_s / STEP_S)
    if length_s <= PREHEAT_S:
        return _later(roast, length_s - PREHEAT_S, None)
    before_s = STEP_S * np.arange(round((length_s - PREHEAT_S) / STEP_S), 0.0, -1.0)
    return _later(roast, length_s - PREHEAT_S, _rates(before_s, roast, rng))


def _rates(before_s: Array, roast: Roast, rng: np.random.Generator) -> Array:
    """°C/s so many seconds before the last part of the preheat, which goes on from there."""
    u = rng.uniform
    start_c, drift = float(roast.bean.level_c[0]), float(roast.bean.rate_c_per_s[0])
    come = 1.0 - np.exp(-before_s / 15.0)  # joins the drift smoothly
    match rng.choice(("waiting", "warming up", "thermostat", "batch before")):
        case "warming up":
            slow_s = float(u(150.0, 500.0))
            # As far below as the time allows, from the room at the coldest.
            climb = np.exp(before_s / slow_s)
            most_c = start_c - _ROOM_C
            span_c = min(most_c / (float(climb[0]) - 1.0), 0.3 * most_c)
            rate: Array = span_c / slow_s * climb
        case "thermostat":
            period_s, swing_c = float(u(40.0, 180.0)), float(u(1.0, 5.0))
            turn = 2.0 * np.pi / period_s
            # Heat comes on and goes off at once; the probe hangs behind.
            rate = 0.6 * swing_c * turn * np.sin(turn * before_s + 2.0 * np.pi * rng.random())
            rate += 0.2 * swing_c * turn * np.sin(2.0 * turn * before_s)
        case "batch before":
            slow_s, deep_c = float(u(60.0, 180.0)), float(u(30.0, 90.0))
            climb = np.exp(before_s / slow_s)
            rate = min(deep_c / (float(climb[0]) - 1.0), 0.3 * deep_c) / slow_s * climb
        case _:
            rate = np.full_like(before_s, float(u(-0.4, 0.4)) / 60.0)
    joined: Array = drift + (rate - drift) * come
    return joined


def _later(roast: Roast, by_s: float, rates: Array | None) -> Roast:
    """With everything `by_s` later; new rates in front, or as much taken off the beginning."""
    moved = {
        name: getattr(roast, name) + by_s
        for name in ("charge_s", "turning_point_s", "yellowing_s", "first_crack_s", "drop_s")
    }
    upset_s = None if roast.upset_s is None else roast.upset_s + by_s
    bean = _fronted(roast.bean, by_s, rates)
    air = None if roast.air is None else _fronted(roast.air, by_s, rates)
    return replace(roast, bean=bean, air=air, upset_s=upset_s, **moved)


def _fronted(curve: Curve, by_s: float, rates: Array | None) -> Curve:
    if rates is None:
        off = round(-by_s / STEP_S)
        return Curve(curve.rate_c_per_s[off:], curve.level_c[off:])
    rate = np.concatenate((rates, curve.rate_c_per_s))
    front = rate[: len(rates) + 1]
    gained_c = float(np.sum(0.5 * STEP_S * (front[1:] + front[:-1])))
    return Curve.from_rate(float(curve.level_c[0]) - gained_c, rate)
