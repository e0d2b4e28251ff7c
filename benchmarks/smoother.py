"""How good the smoother of finished roasts is, against the best of many chosen in hindsight.

    python benchmarks/smoother.py [ROASTS] [--seed N] [--quick]

Synthetic roasts (see `generator`), clean, with ten spikes, and with three gaps. Errors are root
mean squares of the slope against the true rate, °C/min, from 45 s after the turning point to the
drop. On every single stream the baseline is whichever method came closest to the truth on that
very stream: Savitzky-Golay filters of degree 2 to 5 over 12 to 200 s, cubic smoothing splines over
19 penalties, and smoothing splines by residual (scipy: savgol_filter, make_smoothing_spline,
UnivariateSpline). The baselines are given the readings from turning point to drop, without spikes
or gaps, and are spared the plunge; the smoother gets everything from charge on, and no hints.
"""

from __future__ import annotations

import argparse
import time
import warnings
from collections.abc import Iterator
from dataclasses import dataclass, replace
from multiprocessing import Pool

import numpy as np
from generator import FAMILIES, SENSOR_CLASSES, Case, Stream, case
from numpy.typing import NDArray
from scipy.interpolate import UnivariateSpline, make_smoothing_spline
from scipy.signal import savgol_filter

from roastside.core.smooth import Smoothed, smooth_roast

Array = NDArray[np.float64]

SETTLED_S = 45.0
TURN_S = 20.0
STARTED_S = 6.0
INTERVAL_SDS = 1.645
"""A 90 % interval reaches so many standard deviations to either side."""

SPIKES, GAPS = 10, 3

WINDOWS_S = np.geomspace(12.0, 200.0, 14)
DEGREES = (2, 3, 4, 5)
PENALTIES = np.geomspace(1e1, 1e7, 19)
RESIDUALS = (0.5, 0.8, 0.9, 0.95, 1.0, 1.05, 1.1, 1.2, 1.4, 1.8, 2.5, 4.0)


@dataclass(frozen=True, slots=True)
class Result:
    """One stream: errors of the rate (°C/min) and of the level (°C), share inside, milliseconds."""

    family: str
    sensor_class: str
    method: str
    best_error: float
    error: float
    covered: float
    spiked_error: float
    gapped_error: float
    turn_error_c: float
    plunge_worst_c: float
    cost_ms: float


def rms(values: Array) -> float:
    return float(np.sqrt(np.mean(values**2)))


def baselines(time_s: Array, bean_c: Array, at_s: Array) -> Iterator[tuple[str, Array]]:
    """Every baseline by name, with its slope (°C/s) at other times."""
    interval_s = float(np.median(np.diff(time_s)))
    even_s = np.arange(time_s[0], time_s[-1] + 1e-9, interval_s)
    even_c = np.interp(even_s, time_s, bean_c)
    for window_s in WINDOWS_S:
        points = int(window_s / interval_s) | 1
        for degree in DEGREES:
            if degree + 1 < points <= len(even_s):
                slope = savgol_filter(even_c, points, degree, deriv=1, delta=interval_s)
                yield f"Savitzky-Golay {degree}", np.interp(at_s, even_s, slope)
    distinct = np.concatenate(([True], np.diff(time_s) > 1e-9))
    time_s, bean_c = time_s[distinct], bean_c[distinct]
    for penalty in PENALTIES:
        spline = make_smoothing_spline(time_s, bean_c, lam=penalty / interval_s)
        yield "cubic spline by penalty", spline.derivative()(at_s)
    off_c = bean_c[1:-1] - 0.5 * (bean_c[2:] + bean_c[:-2])
    noise = max(float(np.mean(off_c**2)) / 1.5, 0.02**2) * len(time_s)
    for degree in (3, 5):
        for share in RESIDUALS:
            spline = UnivariateSpline(time_s, bean_c, k=degree, s=share * noise)
            yield f"spline {degree} by residual", spline.derivative()(at_s)


def smoothed(one: Case, stream: Stream) -> Smoothed:
    """The stream up to the drop, smoothed."""
    kept = stream.time_s <= one.roast.drop_s
    return smooth_roast(stream.time_s[kept], stream.bean_c[kept], one.roast.charge_s)


def measure(job: tuple[int, int]) -> Result:
    """Everything about the case of this index and seed."""
    one = case(*job)
    roast, clean = one.roast, one.stream()
    at_s = np.arange(roast.turning_point_s + SETTLED_S, roast.drop_s, 1.0)
    true_rate = roast.true_rate_c_per_min(at_s)
    inside = (clean.time_s >= roast.turning_point_s) & (clean.time_s <= roast.drop_s)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        best_error, method = min(
            (rms(60.0 * slope - true_rate), name)
            for name, slope in baselines(clean.time_s[inside], clean.bean_c[inside], at_s)
        )

    def off(found: Smoothed) -> Array:
        return 60.0 * np.interp(at_s, found.time_s, found.slope_c_per_s) - true_rate

    begin = time.process_time()
    found = smoothed(one, clean)
    cost_ms = 1e3 * (time.process_time() - begin)
    sd = 60.0 * np.interp(at_s, found.time_s, found.slope_sd_c_per_s)
    off_c = found.bean_c - roast.true_c(found.time_s)
    turning = np.abs(found.time_s - roast.turning_point_s) < TURN_S
    started = (found.time_s > roast.charge_s + STARTED_S) & (found.time_s < roast.turning_point_s)
    return Result(
        family=one.family,
        sensor_class=one.sensor_class,
        method=method,
        best_error=best_error,
        error=rms(off(found)),
        covered=float(np.mean(np.abs(off(found)) < INTERVAL_SDS * sd)),
        spiked_error=rms(off(smoothed(one, one.stream(replace(one.sensor, spikes=SPIKES))))),
        gapped_error=rms(off(smoothed(one, one.stream(replace(one.sensor, gaps=GAPS))))),
        turn_error_c=rms(off_c[turning]),
        plunge_worst_c=float(np.max(np.abs(off_c[started]), initial=0.0)),
        cost_ms=cost_ms,
    )


COLUMNS = (
    "roasts", "best", "own", "ratio", "worst", "inside", "spikes", "gaps", "turn", "plunge", "ms",
)  # fmt: skip

LEGEND = """\
Errors of the slope, °C/min: median of the best method in hindsight and of the smoother; mean and
worst ratio of the two on one stream; share of errors inside the 90 % interval; how many times ten
spikes and three gaps make the own error, mean. turn: error of the level within 20 s of the turning
point, °C, mean. plunge: the largest error of the level in the plunge, from 6 s on, °C, median.
ms: processor time a roast, mean.
"""


def row(name: str, results: list[Result]) -> str:
    """One line of the table."""
    own = np.array([r.error for r in results])
    best = np.array([r.best_error for r in results])
    cells = (
        f"{len(results)}",
        f"{np.median(best):.2f}",
        f"{np.median(own):.2f}",
        f"{np.mean(own / best):.2f}",
        f"{np.max(own / best):.2f}",
        f"{100.0 * np.mean([r.covered for r in results]):.0f} %",
        f"{np.mean([r.spiked_error / r.error for r in results]):.2f}",
        f"{np.mean([r.gapped_error / r.error for r in results]):.2f}",
        f"{np.mean([r.turn_error_c for r in results]):.2f}",
        f"{np.median([r.plunge_worst_c for r in results]):.2f}",
        f"{np.mean([r.cost_ms for r in results]):.0f}",
    )
    return _line(name, cells)


def _line(name: str, cells: tuple[str, ...]) -> str:
    return f"{name:<16}" + "".join(f"{cell:>8}" for cell in cells)


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("roasts", nargs="?", type=int, default=240)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="32 roasts")
    options = parser.parse_args()
    count = 32 if options.quick else options.roasts
    with Pool() as pool:
        results = pool.map(measure, [(k, options.seed) for k in range(count)], chunksize=1)
    print(LEGEND)
    print(_line("", COLUMNS))
    print(row("all", results))
    for family in FAMILIES:
        print(row(family, [r for r in results if r.family == family]))
    for sensor_class in SENSOR_CLASSES:
        print(row(sensor_class, [r for r in results if r.sensor_class == sensor_class]))
    print("\nbest in hindsight, by how often:")
    methods = [r.method for r in results]
    for method in sorted(set(methods), key=methods.count, reverse=True):
        print(f"  {methods.count(method):4d}  {method}")


if __name__ == "__main__":
    main()
