"""What an adapter makes of a true temperature: when it looks, how it errs, how it rounds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from generator.roast import Array, Roast
from roastside.core.readings import Reading


@dataclass(frozen=True, slots=True)
class Sensor:
    """Seconds and °C. `noise_lasts_s` is the noise's correlation time, 0 for white.

    `hum_c` is the amplitude of mains hum that the sampling folds down to `hum_period_s`. Values
    come in steps of `step_c`, after the noise; 0 is no rounding. `spikes` wild values (of one or
    two readings, 5 to 60 °C off) lie between charge and drop, and so do `gaps` of 3 to 15 s.
    """

    interval_s: float = 0.5
    jitter_share: float = 0.03
    noise_sd_c: float = 0.2
    noise_lasts_s: float = 0.0
    hum_c: float = 0.0
    hum_period_s: float = 10.0
    step_c: float = 0.25
    spikes: int = 0
    gaps: int = 0


@dataclass(frozen=True, slots=True)
class Stream:
    """Readings as seen. Arrays of shape (n,); `air_c` None where there is no air probe."""

    time_s: Array
    bean_c: Array
    air_c: Array | None

    def readings(self) -> list[Reading]:
        """The same for a Session."""
        bean_c, time_s = self.bean_c.tolist(), self.time_s.tolist()
        air_c = [None] * len(time_s) if self.air_c is None else self.air_c.tolist()
        return [Reading(*row) for row in zip(time_s, bean_c, air_c, strict=True)]


def seen(roast: Roast, sensor: Sensor, seed: int) -> Stream:
    """The roast through the sensor. Without spikes and gaps the same seed errs the same."""
    rng = np.random.default_rng([seed, 77])
    count = int((roast.end_s - 1.0) / sensor.interval_s)
    jitter = np.clip(sensor.jitter_share * rng.normal(size=count), -0.4, 0.4)
    steady = np.arange(count, dtype=np.float64) + 0.5 * rng.random()
    time_s: Array = np.round(np.maximum(sensor.interval_s * (steady + jitter), 0.0), 3).astype(
        np.float64
    )
    bean_c = roast.true_c(time_s) + _noise(time_s, sensor, rng) + _hum(time_s, sensor, rng)
    air_c = None
    if roast.air is not None:
        air_c = _rounded(roast.air.at(time_s)[0] + _noise(time_s, sensor, rng), sensor.step_c)
    wild = np.random.default_rng([seed, 78])
    inside = np.flatnonzero((time_s > roast.charge_s + 5.0) & (time_s < roast.drop_s - 5.0))
    # Apart, so that no more than two wild readings come in a row.
    for k in wild.choice(inside[::4], sensor.spikes, replace=False):
        off_c = wild.choice((-1.0, 1.0)) * np.exp(wild.uniform(np.log(5.0), np.log(60.0)))
        bean_c[k : k + wild.integers(1, 3)] += off_c
    bean_c = _rounded(bean_c, sensor.step_c)
    keep = np.ones(count, dtype=bool)
    for k in wild.choice(inside, sensor.gaps, replace=False):
        keep &= (time_s < time_s[k]) | (time_s > time_s[k] + wild.uniform(3.0, 15.0))
    return Stream(time_s[keep], bean_c[keep], None if air_c is None else air_c[keep])


def _noise(time_s: Array, sensor: Sensor, rng: np.random.Generator) -> Array:
    white: Array = sensor.noise_sd_c * rng.normal(size=len(time_s))
    if sensor.noise_lasts_s <= 0.0:
        return white
    kept = np.exp(-np.diff(time_s, prepend=time_s[0] - 99.0) / sensor.noise_lasts_s)
    fresh = np.sqrt(1.0 - kept * kept) * white
    noise, last = [], 0.0
    for share, new in zip(kept.tolist(), fresh.tolist(), strict=True):
        last = share * last + new
        noise.append(last)
    return np.array(noise)


def _hum(time_s: Array, sensor: Sensor, rng: np.random.Generator) -> Array:
    """Mains hum as sampled: a slow wave whose phase creeps as the mains frequency does."""
    creep = 0.35 * np.sin(time_s / 33.0 + rng.uniform(0.0, 2.0 * np.pi))
    wave = time_s / sensor.hum_period_s + creep + rng.random()
    hum: Array = sensor.hum_c * np.sin(2.0 * np.pi * wave)
    return hum


def _rounded(value_c: Array, step_c: float) -> Array:
    rounded: Array = np.round(value_c / step_c) * step_c if step_c > 0.0 else np.round(value_c, 3)
    return rounded


def sensor_of(sensor_class: str, rng: np.random.Generator) -> Sensor:
    """A sensor drawn from a class; see SENSOR_CLASSES."""
    u = rng.uniform
    pick = rng.choice
    jitter = float(u(0.0, 0.06))
    match sensor_class:
        case "usual":
            return Sensor(
                float(pick((0.25, 0.5, 1.0))), jitter, float(u(0.1, 0.4)), 0.0,
                step_c=float(pick((0.1, 0.25))),
            )  # fmt: skip
        case "fine and fast":
            return Sensor(0.1, jitter, float(u(0.0, 0.2)), 0.0, step_c=float(pick((0.0, 0.1))))
        case "coarse steps":
            return Sensor(
                float(pick((0.25, 0.5, 1.0))), jitter, float(u(0.0, 0.3)), 0.0,
                step_c=float(pick((0.5, 1.0))),
            )  # fmt: skip
        case "slow":
            return Sensor(
                2.0,
                jitter,
                float(u(0.05, 0.5)),
                0.0,
                step_c=float(pick((0.0, 0.1, 0.25, 0.5, 1.0))),
            )
        case "coloured noise":
            return Sensor(
                float(pick((0.1, 0.25, 0.5, 1.0))), jitter, float(u(0.1, 0.5)), float(u(0.3, 2.0)),
                step_c=float(pick((0.0, 0.1, 0.25))),
            )  # fmt: skip
        case "mains hum":
            return Sensor(
                float(pick((0.1, 0.25, 0.5, 1.0))), jitter, float(u(0.0, 0.2)), 0.0,
                hum_c=float(u(0.05, 0.3)), hum_period_s=float(np.exp(u(np.log(4.0), np.log(40.0)))),
                step_c=float(pick((0.0, 0.1, 0.25))),
            )  # fmt: skip
        case _:
            raise ValueError(f"no sensor class {sensor_class}; choose from {SENSOR_CLASSES}")


SENSOR_CLASSES = (
    "usual", "fine and fast", "coarse steps", "slow", "coloured noise", "mains hum",
)  # fmt: skip
