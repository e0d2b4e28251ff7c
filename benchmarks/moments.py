"""How well charge and drop are dated when nobody marks them.

    python benchmarks/moments.py [COFFEES] [--seed N]

Synthetic roasts of all families (see `generator`), each through a sensor of every class, and the
practice roaster with probes of several lags and adapters of several speeds and steps; then charge
of roasts beside a reference, found without and with how the probe fell there. The error is
the moment found less the true one, seconds; *told* is how long after the true moment it was plain.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import product

import numpy as np
from follow import Charge, reference_of
from generator import FAMILIES, SENSOR_CLASSES, Coffee, Kind, case, preheated, seen, sensor_of

from roastside.core.detect import PlungeDetector, charge_detector, drop_detector
from roastside.core.leaps import LeapJudge
from roastside.core.readings import Reading
from roastside.probes.practice import PracticeBatch, Script, Sensor
from roastside.probes.roaster import Machine

PRACTICE = "practice"
_BEFORE_DROP_S = 120.0


@dataclass(frozen=True, slots=True)
class Found:
    """One roast: how far off charge and drop were dated and told, seconds; nan if never."""

    family: str
    sensor_class: str
    charge_off_s: float
    charge_told_s: float
    drop_off_s: float
    drop_told_s: float


def dated(
    detector: PlungeDetector, readings: Iterable[Reading], true_s: float
) -> tuple[float, float]:
    """How far off the moment found is and how late it was told, seconds; leaps are left out."""
    judge = LeapJudge()
    for reading in readings:
        if reading.bean_c is None or not judge.believes(reading.time_s, reading.bean_c):
            continue
        found_s = detector.update(reading.time_s, reading.bean_c)
        if found_s is not None:
            return found_s - true_s, reading.time_s - true_s
    return float("nan"), float("nan")


def of_readings(
    family: str, sensor_class: str, readings: list[Reading], charge_s: float, drop_s: float
) -> Found:
    """Both moments of one roast, each looked for as the roast itself looks for it."""
    charge = dated(charge_detector(), readings, charge_s)
    late = [reading for reading in readings if reading.time_s >= drop_s - _BEFORE_DROP_S]
    return Found(family, sensor_class, *charge, *dated(drop_detector(), late, drop_s))


def generated(coffees: int, seed: int) -> Iterator[Found]:
    """Every coffee of every family, through a sensor of each class."""
    for number, family in product(range(coffees), FAMILIES):
        roast = Coffee(family, 1000 * seed + number).reference
        for which, sensor_class in enumerate(SENSOR_CLASSES):
            sensor = sensor_of(sensor_class, np.random.default_rng([seed, number, which]))
            one = preheated(roast, np.random.default_rng([seed, number, which, 1]))
            readings = seen(one, sensor, 10 * number + which).readings()
            yield of_readings(family, sensor_class, readings, one.charge_s, one.drop_s)


def followed(coffees: int, seed: int, by_plunge: bool) -> Iterator[Found]:
    """Roasts followed beside a reference whose charge was marked truly, with its plunge or not."""
    for index in range(16 * coffees):
        one = case(index, seed)
        if one.kind is Kind.WRONG:
            continue
        plunge = reference_of(one, Charge.MARKED).plunge if by_plunge else None
        readings = one.stream().readings()
        dates = dated(charge_detector(plunge), readings, one.roast.charge_s)
        yield Found(one.family, one.sensor_class, *dates, float("nan"), float("nan"))


def practised() -> Iterator[Found]:
    """The practice roaster, beans charged at a reading."""
    sensors = {
        "2 a second, steps of 0.25": Sensor(0.5, 0.12, 0.25),
        "10 a second, no steps": Sensor(0.1, 0.12, 0.0),
        "one in 2 s, steps of 1": Sensor(2.0, 0.12, 1.0),
    }
    for (name, sensor), lag_s, seed in product(sensors.items(), (12.0, 15.0, 25.0), range(2)):
        script = Script(machine=Machine(probe_lag_s=lag_s), sensor=sensor, seed=seed)
        batch = PracticeBatch(script)
        readings, drop_s = [], float("nan")
        while not batch.ended:
            holds = batch.roaster.beans is not None
            at_s = batch.next_s
            readings += [item for item in batch.step() if isinstance(item, Reading)]
            if holds and batch.roaster.beans is None:
                drop_s = at_s
        yield of_readings(PRACTICE, name, readings, script.charge_at_s, drop_s)


def table(found: list[Found], moment: str) -> Iterator[str]:
    """Median, standard deviation and extremes of the error, by sensor class and by family."""
    yield f"| {moment:26} | roasts | median | sd | earliest | latest | told |"
    yield "|---|---|---|---|---|---|---|"
    yield _row("all", found, moment)
    for sensor_class in dict.fromkeys(one.sensor_class for one in found):
        yield _row(sensor_class, [f for f in found if f.sensor_class == sensor_class], moment)
    for family in dict.fromkeys(one.family for one in found):
        yield _row(family, [f for f in found if f.family == family], moment)


def _row(name: str, found: list[Found], moment: str) -> str:
    off_s = np.array([getattr(one, f"{moment}_off_s") for one in found])
    told_s = np.array([getattr(one, f"{moment}_told_s") for one in found])
    values = (np.nanmedian(off_s), np.nanstd(off_s), np.nanmin(off_s), np.nanmax(off_s))
    cells = [f"{value:+.2f}" if k != 1 else f"{value:.2f}" for k, value in enumerate(values)]
    missed = f", {np.isnan(off_s).sum()} missed" if np.isnan(off_s).any() else ""
    cells.append(f"{np.nanmedian(told_s):.1f}{missed}")
    return f"| {name:26} | {len(found)} | " + " | ".join(cells) + " |"


def main() -> None:
    """Run the set and print the tables."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("coffees", nargs="?", type=int, default=15)
    parser.add_argument("--seed", type=int, default=3)
    asked = parser.parse_args()
    for name, found, moments in (
        ("synthetic roasts", generated(asked.coffees, asked.seed), ("charge", "drop")),
        ("practice roaster", practised(), ("charge", "drop")),
        ("beside a reference, by lags", followed(asked.coffees, asked.seed, False), ("charge",)),
        (
            "beside a reference, by its plunge",
            followed(asked.coffees, asked.seed, True),
            ("charge",),
        ),
    ):
        rows = list(found)
        for moment in moments:
            print(f"\n{name}\n")
            print("\n".join(table(rows, moment)))


if __name__ == "__main__":
    main()
