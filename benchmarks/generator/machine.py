"""What the coupled heat balances are of: machines, beans, and who first roasts them.

Magnitudes are chosen for small electric roasters, not measured.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np


@dataclass(frozen=True, slots=True)
class Machine:
    """Capacities kJ/K, conductances kW/K, powers kW, times s."""

    power: float
    element: float
    radiation: float
    drum: float
    drum_to_bean: float
    drum_to_air: float
    drum_to_room: float
    air_to_bean: float
    blower: float
    sheath_s: float
    sheath_in_air_s: float
    stem_s: float
    junction_s: float


@dataclass(frozen=True, slots=True)
class Beans:
    """kg, kg water a kg dry, kJ/kg, °C inside the bean."""

    weight: float
    moisture: float
    drying: float
    exotherm: float
    crack_c: float
    crack_steam_kj: float
    crack_steam_s: float
    crack_heat_kj: float


@dataclass(frozen=True, slots=True)
class Step:
    """A change of the controls at an elapsed time, or when the bean probe shows `bean_c`."""

    elapsed_s: float
    bean_c: float
    heat: float
    air: float


@dataclass(slots=True)
class Pilot:
    """Whoever roasts the coffee for the first time, steering the rate down a line."""

    top_rate: float
    end_rate: float
    every_s: float
    heat: float
    air: float
    written: list[Step] = field(default_factory=list)

    def decide(
        self, elapsed_s: float, bean_c: float, rate: float, bend: float, end_c: float
    ) -> Step:
        """Look at temperature, rate (°C/min) and its change a minute; set the controls."""
        share = (bean_c - 100.0) / (end_c - 100.0)
        wanted = self.top_rate + (self.end_rate - self.top_rate) * min(max(share, 0.0), 1.0)
        heat = self.heat
        if elapsed_s > 100.0:
            heat += 0.03 * (wanted - rate) - 0.035 * (bend + 0.9)
        self.heat = round(min(max(heat, 0.1), 1.0) * 20.0) / 20.0
        if share > 0.5:
            self.air = (
                min(self.air + 0.1, 0.6) if self.air < 0.6 and self.every_s > 45.0 else self.air
            )
        step = Step(elapsed_s, bean_c, self.heat, self.air)
        self.written.append(step)
        return step


def drawn_machine(family: str, rng: np.random.Generator, weight: float) -> Machine:
    """A machine of its family for batches of `weight` kg."""
    u = rng.uniform
    size = weight**0.8
    airy, thick = family == "air", family == "thick probe"
    return Machine(
        power=weight * u(2.4, 3.8) * (1.25 if airy else 1.0),
        element=u(0.15, 0.35) * weight,
        radiation=weight * u(2.5e-12, 4.5e-12),
        drum=weight * (u(1.5, 2.5) if airy else u(4.0, 9.0)),
        drum_to_bean=u(0.001, 0.002) if airy else u(0.004, 0.007),
        drum_to_air=size * (u(0.012, 0.02) if airy else u(0.004, 0.008)),
        drum_to_room=weight * u(0.0006, 0.0014),
        air_to_bean=u(0.008, 0.013) if airy else u(0.003, 0.006),
        blower=weight * (u(0.003, 0.005) if airy else u(0.002, 0.004)),
        sheath_s=u(17.0, 28.0) if thick else u(8.0, 15.0),
        sheath_in_air_s=u(60.0, 110.0) if thick else u(35.0, 70.0),
        stem_s=u(150.0, 400.0),
        junction_s=u(4.0, 7.0) if thick else u(1.2, 3.5),
    )


def drawn_beans(rng: np.random.Generator, weight: float) -> Beans:
    """A coffee, in a batch of `weight` kg."""
    u = rng.uniform
    return Beans(
        weight=weight,
        moisture=float(u(0.09, 0.13)),
        drying=float(u(0.0012, 0.0022)),
        exotherm=float(u(40.0, 130.0)),
        crack_c=float(u(188.0, 198.0)),
        crack_steam_kj=float(u(0.0, 5.0)),
        crack_steam_s=float(u(7.0, 14.0)),
        crack_heat_kj=float(u(0.0, 3.0)) if rng.random() < 0.5 else 0.0,
    )


def drawn_pilot(rng: np.random.Generator, quick: bool) -> Pilot:
    """Someone who likes short roasts, or long ones."""
    u = rng.uniform
    end_rate = float(u(7.0, 11.0) if quick else u(3.5, 8.0))
    return Pilot(
        top_rate=end_rate + float(u(8.0, 16.0) if quick else u(5.0, 14.0)),
        end_rate=end_rate,
        every_s=float(u(25.0, 70.0)),
        heat=round(float(u(0.7, 1.0) if quick else u(0.5, 0.9)) * 20.0) / 20.0,
        air=float(u(0.3, 0.5)),
    )
