"""How well the probe's lag is found from the plunge, and what correcting for it gains.

    python benchmarks/probe_lag.py [ROASTS] [--seed N] [--quick]

Synthetic roasts (see `generator`). The probe of "drum", "thick probe" and "air" is a junction in a
sheath which beans, air and drum warm: its true lag, once beans cover it and before they swell, is
that of the sheath between all three plus the junction's. Of "drawn" only a plunge of two time
constants is known, and their sum is taken. The truth that the corrected curve is held against is
what such a probe touches, its own equations solved backwards: T + (a + b) T' + a b T''. That is
the beans with the share of air and drum the probe always feels; it is not the inside of a bean.
"""

from __future__ import annotations

import argparse
import time
from dataclasses import dataclass
from multiprocessing import Pool

import numpy as np
from generator import FAMILIES, SENSOR_CLASSES, Case, Kind, Roast, case
from generator.drawn import DrawnRecipe
from generator.drum import DrumRecipe
from generator.small import SmallRecipe
from numpy.typing import NDArray

from roastside.core.lag import NoLag, lag_corrected, probe_lag
from roastside.core.smooth import smooth_roast

Array = NDArray[np.float64]

INTERVAL_SDS = 1.645
"""A 90 % interval reaches so many standard deviations to either side."""

TURN_S = 15.0
SETTLED_S = 45.0
SWELLING_C = 170.0
"""From about here on the beans swell and lie closer around the probe."""


@dataclass(frozen=True, slots=True)
class Result:
    """One roast: lags (s; `found_s` None if the plunge did not tell) and errors (°C)."""

    family: str
    sensor_class: str
    true_s: float
    found_s: float | None = None
    sd_s: float = 0.0
    raw_turn_c: float = 0.0
    turn_c: float = 0.0
    raw_c: float = 0.0
    corrected_c: float = 0.0
    cost_ms: float = 0.0


def time_constants_s(one: Case) -> tuple[float, float]:
    """The two lags of the probe in this coffee's equations."""
    recipe = one.coffee.recipe
    if isinstance(recipe, DrawnRecipe):
        return recipe.plunge_s, recipe.probe_s
    if isinstance(recipe, SmallRecipe):
        return recipe.probe_s, recipe.tip_s
    assert isinstance(recipe, DrumRecipe)
    machine = recipe.machine
    touched = 1.0 / machine.sheath_s + 1.0 / machine.sheath_in_air_s + 1.0 / machine.stem_s
    return 1.0 / touched, machine.junction_s


def touched_c(roast: Roast, slow_s: float, fast_s: float, time_s: Array) -> Array:
    """What a probe of these two lags touches, °C."""
    slope = roast.true_rate_c_per_min(time_s) / 60.0
    later, earlier = (roast.true_rate_c_per_min(time_s + h) / 60.0 for h in (0.5, -0.5))
    bend = later - earlier
    touched: Array = roast.true_c(time_s) + (slow_s + fast_s) * slope + slow_s * fast_s * bend
    return touched


def rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


def measure(job: tuple[int, int]) -> Result | None:
    """The case of this index and seed; None if it is another machine's (its probe is not known)."""
    one = case(*job)
    if one.kind is Kind.WRONG:
        return None
    roast, stream = one.roast, one.stream()
    slow_s, fast_s = time_constants_s(one)
    kept = stream.time_s <= roast.drop_s
    time_s, bean_c = stream.time_s[kept], stream.bean_c[kept]
    begin = time.process_time()
    lag = probe_lag(time_s, bean_c, roast.charge_s, roast.turning_point_s)
    cost_ms = 1e3 * (time.process_time() - begin)
    if isinstance(lag, NoLag):
        return Result(one.family, one.sensor_class, slow_s + fast_s, cost_ms=cost_ms)
    smoothed = smooth_roast(time_s, bean_c, roast.charge_s)
    truth_c = touched_c(roast, slow_s, fast_s, smoothed.time_s)
    raw_off = smoothed.bean_c - truth_c
    off = lag_corrected(smoothed, lag) - truth_c
    turning = np.abs(smoothed.time_s - roast.turning_point_s) < TURN_S
    turning &= smoothed.time_s >= lag.from_s
    settled = smoothed.time_s > roast.turning_point_s + SETTLED_S
    settled &= roast.true_c(smoothed.time_s) < SWELLING_C
    return Result(
        family=one.family,
        sensor_class=one.sensor_class,
        true_s=slow_s + fast_s,
        found_s=lag.tau_s,
        sd_s=lag.sd_s,
        raw_turn_c=rms(raw_off[turning]),
        turn_c=rms(off[turning]),
        raw_c=rms(raw_off[settled]),
        corrected_c=rms(off[settled]),
        cost_ms=cost_ms,
    )


COLUMNS = (
    "roasts", "untold", "true", "found", "off", "sd", "inside",
    "raw", "turn", "raw", "later", "ratio", "worst", "ms",
)  # fmt: skip

LEGEND = """\
untold: the plunge did not tell. true, found: mean lag, s. off: root mean square of found less true,
s. sd: mean of the standard deviation given, s. inside: share of true lags in the 90 % interval.
Errors against what the probe touches, °C, means of root mean squares: of the smoothed curve (raw)
and of the corrected one within 15 s of the turning point (turn), and from 45 s after it to 170 °C
(later); ratio: corrected by raw of the latter, mean and worst. ms: processor time, mean.
"""


def row(name: str, results: list[Result]) -> str:
    """One line of the table."""
    told = [r for r in results if r.found_s is not None]
    off_s = np.array([r.found_s - r.true_s for r in told if r.found_s is not None])
    sd_s = np.array([r.sd_s for r in told])
    ratio = np.array([r.corrected_c / r.raw_c for r in told])
    cells = (
        f"{len(results)}",
        f"{len(results) - len(told)}",
        f"{np.mean([r.true_s for r in told]):.1f}",
        f"{np.mean([r.true_s for r in told] + off_s):.1f}",
        f"{rms(off_s):.1f}",
        f"{np.mean(sd_s):.1f}",
        f"{100.0 * np.mean(np.abs(off_s) < INTERVAL_SDS * sd_s):.0f} %",
        f"{np.mean([r.raw_turn_c for r in told]):.2f}",
        f"{np.mean([r.turn_c for r in told]):.2f}",
        f"{np.mean([r.raw_c for r in told]):.2f}",
        f"{np.mean([r.corrected_c for r in told]):.2f}",
        f"{np.mean(ratio):.2f}",
        f"{np.max(ratio):.2f}",
        f"{np.mean([r.cost_ms for r in results]):.0f}",
    )
    return _line(name, cells)


def _line(name: str, cells: tuple[str, ...]) -> str:
    return f"{name:<15}" + "".join(f"{cell:>9}" for cell in cells)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("roasts", nargs="?", type=int, default=240)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="60 roasts")
    options = parser.parse_args()
    count = 60 if options.quick else options.roasts
    with Pool() as pool:
        every = pool.map(measure, [(k, options.seed) for k in range(count)], chunksize=1)
    results = [result for result in every if result is not None]
    print(LEGEND)
    print(_line("", COLUMNS))
    print(row("all", results))
    for family in FAMILIES:
        print(row(family, [r for r in results if r.family == family]))
    for sensor_class in SENSOR_CLASSES:
        print(row(sensor_class, [r for r in results if r.sensor_class == sensor_class]))


if __name__ == "__main__":
    main()
