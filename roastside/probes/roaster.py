"""A roaster made of equations, for the demo and for training.

It is a trainer, not a measurement: the structure is physical, the constants are chosen so that
1.5 kg roasts in about eleven minutes on a compact electric machine. No published roast stands
behind them.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp

AMBIENT_C = 22.0
_KELVIN = 273.15
_STEP_S = 0.1

_DOOR_OPEN_S = 40.0
_DOOR_DRAUGHT = 6.0
"""While the beans run out the open door lets in this many times the usual air."""


@dataclass(frozen=True, slots=True)
class Machine:
    """A compact electric drum roaster. Powers in kW, conductances in kW/K, capacities in kJ/K."""

    power_kw: float = 4.4
    metal_kj_per_k: float = 9.0
    metal_to_bean: float = 0.0058
    metal_to_air: float = 0.014
    air_to_bean: float = 0.0078
    loss_to_room: float = 0.0022
    flow_kw_per_k: float = 0.0052
    probe_lag_s: float = 15.0
    probe_sees_air: float = 0.18
    bean_diameter_mm: float = 9.0


@dataclass(frozen=True, slots=True)
class Beans:
    """A batch of green coffee: weight (kg), moisture (kg water a kg dry).

    `first_crack_c` is inside the bean; the probe, which sees some air, then reads a little more.
    """

    weight_kg: float = 1.5
    moisture: float = 0.115
    temperature_c: float = AMBIENT_C
    first_crack_c: float = 192.0


class PracticeRoaster:
    """Lumped metal, air and beans, with drying, an exotherm and probes that lag.

    `heat` and `air` are shares (0 to 1) and may be changed at any time. Heat capacity and the
    drying law follow Schwartzberg, "Modeling bean heating during batch roasting of coffee
    beans" (2002), recalled from memory; the exotherm is the same law at a sixth of the strength
    recalled, and the burst of steam at first crack is our own.
    """

    def __init__(self, machine: Machine | None = None, ambient_c: float = AMBIENT_C) -> None:
        self.machine = machine or Machine()
        self.ambient_c = ambient_c
        self.heat = 0.0
        self.air = 0.3
        self.beans: Beans | None = None
        self.bean_c = ambient_c
        self.metal_c = ambient_c
        self.air_c = ambient_c
        self.moisture = 0.0
        self.cracking = 0.0
        self.bean_probe_c = ambient_c
        self.air_probe_c = ambient_c
        self._released_kj_per_kg = 0.0
        self._steam_left = 0.0
        self._left_over_s = 0.0
        self._door_open_s = 0.0

    def preheated(self, to_c: float) -> None:
        """Begin with a machine warmed through to `to_c` at the probes."""
        self.metal_c = to_c + 12.0
        self.air_c = self.air_probe_c = self.bean_probe_c = to_c

    def charge(self, beans: Beans) -> None:
        """Beans fall in."""
        self.beans = beans
        self.bean_c = beans.temperature_c
        self.moisture = beans.moisture
        self._released_kj_per_kg = 0.0
        self._steam_left = 0.005

    def drop(self) -> None:
        """Beans fall out."""
        self.beans = None
        self._door_open_s = _DOOR_OPEN_S

    def advance(self, seconds: float) -> None:
        """Let time pass, in steps of a tenth of a second."""
        self._left_over_s += seconds
        while self._left_over_s >= _STEP_S - 1e-9:
            self._left_over_s -= _STEP_S
            self._step(_STEP_S)

    def _step(self, dt: float) -> None:
        m = self.machine
        to_bean = m.air_to_bean if self.beans else 0.0
        flow = m.flow_kw_per_k * (0.25 + self.air)
        if self._door_open_s > 0.0:
            self._door_open_s -= dt
            flow *= _DOOR_DRAUGHT
        settled_air_c = (
            m.metal_to_air * self.metal_c + to_bean * self.bean_c + flow * self.ambient_c
        ) / (m.metal_to_air + to_bean + flow)
        self.air_c += (settled_air_c - self.air_c) * dt / 4.0
        heat_to_beans_kw = 0.0
        contact_kw = 0.0
        if self.beans is not None:
            size = (self.beans.weight_kg / 1.5) ** 0.7
            contact_kw = m.metal_to_bean * size * (self.metal_c - self.bean_c)
            heat_to_beans_kw = contact_kw + m.air_to_bean * size * (self.air_c - self.bean_c)
            self._heat_beans(self.beans, heat_to_beans_kw, dt)
        metal_kw = (
            m.power_kw * self.heat
            - contact_kw
            - m.metal_to_air * (self.metal_c - self.air_c)
            - m.loss_to_room * (self.metal_c - self.ambient_c)
        )
        self.metal_c += metal_kw * dt / m.metal_kj_per_k
        self._settle_probes(dt)

    def _heat_beans(self, beans: Beans, heat_kw: float, dt: float) -> None:
        kelvin = self.bean_c + _KELVIN
        dry_kg = beans.weight_kg / (1.0 + beans.moisture)
        drying = (
            4.32e9 * self.moisture**2 / self.machine.bean_diameter_mm**2 * exp(-9889.0 / kelvin)
        )
        self.cracking = self._steam(beans)
        steam = self._steam_left * self.cracking / 40.0
        self._steam_left = max(self._steam_left - steam * dt, 0.0)
        self.moisture = max(self.moisture - drying * dt, 0.0)
        exotherm = (
            116200.0
            / 6.0
            * exp(-5500.0 / kelvin)
            * max(1.0 - self._released_kj_per_kg / 232.0, 0.0)
        )
        self._released_kj_per_kg += exotherm * dt
        capacity = 1.099 + 0.0070 * self.bean_c + 5.0 * self.moisture
        net_kw = heat_kw + dry_kg * (exotherm - 2790.0 * (drying + steam))
        self.bean_c += net_kw * dt / (dry_kg * capacity)

    def _steam(self, beans: Beans) -> float:
        """How hard the beans are cracking, 0 to 1."""
        if self._steam_left <= 0.0:
            return 0.0
        return min(max((self.bean_c - beans.first_crack_c + 0.5) / 4.0, 0.0), 1.0)

    def _settle_probes(self, dt: float) -> None:
        m = self.machine
        around_c = self.air_c
        if self.beans is not None:
            around_c = m.probe_sees_air * self.air_c + (1.0 - m.probe_sees_air) * self.bean_c
        lag_s = m.probe_lag_s if self.beans is not None else 1.6 * m.probe_lag_s
        self.bean_probe_c += (around_c - self.bean_probe_c) * dt / lag_s
        self.air_probe_c += (self.air_c - self.air_probe_c) * dt / m.probe_lag_s
