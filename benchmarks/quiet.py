"""Whether good roasts are left in peace at every rate, noise and step of a probe.

    python benchmarks/quiet.py [TIMES] [--seed N] [--charge found|alike|marked]

Roasts that repeat their reference and stay within 60 % of the corridor (see `generator`) are seen
by every probe of a grid: rate of sampling, spread of the noise, and steps, as issues of adapters go
from 0.5 to 10 Hz, 0 to 0.5 °C and 0 to 1 °C. Each probe sees TIMES roasts, in turn of all. Told is
how many raised any alert of the deviation family, and what share of good roasts that can be at
most and at least, with 95 % confidence (Clopper and Pearson, Biometrika 26, 1934).
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice, product
from multiprocessing import Pool

import numpy as np
from advice import GOOD_C, Job, watch
from follow import Charge
from generator import Case, Kind, Sensor, case
from scipy.stats import beta

from roastside.core.events import AlertState, Family

INTERVALS_S = (0.1, 0.25, 0.5, 1.0, 2.0)
NOISES_C = (0.0, 0.1, 0.25, 0.5)
STEPS_C = (0.0, 0.1, 0.25, 0.5, 1.0)

GRID = tuple(product(INTERVALS_S, NOISES_C, STEPS_C))

_ROASTS = 60
"""So many different good roasts are seen, each by several probes."""


@dataclass(frozen=True, slots=True)
class Seen:
    """One roast by one probe: `told` are the alerts of the deviation family that were raised."""

    index: int
    probe: tuple[float, float, float]
    told: tuple[str, ...]


def good_cases(seed: int) -> Iterator[Case]:
    """Repeats that stay within 60 % of the corridor, endlessly."""
    index = 0
    while True:
        one = case(index, seed)
        if one.kind is Kind.REPEAT and _worst_c(one) <= GOOD_C:
            yield one
        index += 1


def _worst_c(one: Case) -> float:
    return float(np.max(np.abs(one.roast.deviation_c(one.reference)[1])))


def look(asked: tuple[int, int, int, Charge]) -> Seen:
    """One roast of a seed by one probe of the grid."""
    index, probe, seed, charge = asked
    interval_s, noise_c, step_c = GRID[probe]
    sensor = Sensor(interval_s=interval_s, noise_sd_c=noise_c, step_c=step_c)
    # Another index is another noise.
    one = replace(case(index, seed), sensor=sensor, index=1000 * index + probe)
    alerts, _ = watch(one, Job(index, seed, 0, 0, charge))
    told = tuple(
        f"{alert.alert} at {alert.time_s - one.roast.charge_s:.0f} s"
        for alert in alerts
        if alert.family is Family.DEVIATION and alert.state is AlertState.RAISED
    )
    return Seen(index, GRID[probe], told)


def share(quiet: int, count: int) -> str:
    """The share of quiet roasts and its interval."""
    low = float(beta.ppf(0.025, quiet, count - quiet + 1)) if quiet else 0.0
    high = float(beta.ppf(0.975, quiet + 1, count - quiet)) if quiet < count else 1.0
    return f"{quiet:5} of {count:5}: {quiet / count:7.2%} (95 %: {low:.1%} to {high:.1%})"


def table(seen: list[Seen]) -> Iterator[str]:
    """All, and by what the probe is like."""
    yield f"{'all':24}{_row(seen)}"
    for at, (name, values) in enumerate(
        (("every {} s", INTERVALS_S), ("noise {} °C", NOISES_C), ("steps of {} °C", STEPS_C))
    ):
        for value in values:
            yield f"{name.format(value):24}{_row([s for s in seen if s.probe[at] == value])}"


def _row(seen: list[Seen]) -> str:
    return share(sum(not each.told for each in seen), len(seen))


def main() -> None:
    """Run the grid and print the table."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("times", nargs="?", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--charge", type=Charge, choices=list(Charge), default=Charge.FOUND)
    asked = parser.parse_args()
    begin = time.perf_counter()
    indices = [one.index for one in islice(good_cases(asked.seed), _ROASTS)]
    # Seven and the number of roasts share no factor, so that every probe sees other roasts.
    jobs = [
        (indices[(probe + 7 * turn) % len(indices)], probe, asked.seed, asked.charge)
        for turn in range(asked.times)
        for probe in range(len(GRID))
    ]
    with Pool(2) as pool:
        seen = list(pool.imap_unordered(look, jobs, chunksize=5))
    print("\n".join(table(seen)) + "\n")
    for each in sorted((s for s in seen if s.told), key=lambda s: (s.probe, s.index)):
        interval_s, noise_c, step_c = each.probe
        print(
            f"#{each.index} every {interval_s} s, noise {noise_c} °C, steps of {step_c} °C:",
            end=" ",
        )
        print(", ".join(each.told))
    print(f"{len(seen)} roasts, charge {asked.charge}, {time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
