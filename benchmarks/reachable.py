"""How little error is left to an estimator that is told more than any real one can know.

    python benchmarks/reachable.py [ROASTS] [--seed N] [--learned-from ROASTS]

The best linear estimator of the rate (Wiener, "Extrapolation, Interpolation, and Smoothing of
Stationary Time Series", 1949; for curves as unsteady as these by their covariance itself) is told
the mean and the covariance of the generator's own roasts from the turning point on, learned from
thousands of others, and the true size, colour and hum of each probe's errors. It sees the readings
of the last five minutes, gathered in two seconds each, and no later ones. Beside it stand our own
estimate, without a reference, and what both are set against: the best window in hindsight on that
very stream, as in rate_of_rise.py. An estimator that is not linear may be better than this one.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from multiprocessing import Pool

import numpy as np
from generator import SENSOR_CLASSES, Roast, Sensor, Stream, case
from numpy.typing import NDArray
from rate_of_rise import SETTLED_S, judged, score
from windows import best_window

Array = NDArray[np.float64]

LONGEST_S = 900
LEVEL_S = 2.0
SEEN_LEVELS = 150
TOLD_EVERY = 4
"""The bound is asked after every fourth level; ours at every reading."""

LEAST_GOING_ON = 2 * SEEN_LEVELS
"""So many roasts must go on at a moment for their covariance to be told by them."""

ROASTS_A_SEED = 80
HUM_LASTS_S = 80.0
"""The phase of the generator's hum creeps; taken for a wave that forgets its phase within this."""

LEAST_SD_C = 0.003


@dataclass(frozen=True, slots=True)
class Population:
    """Levels (°C) and rates (°C/min) each second from the turning point on, nan after the drop.

    Both of shape (roasts, LONGEST_S); `lasts_s`, (roasts,), how many of them there are.
    """

    level_c: Array
    rate: Array
    lasts_s: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Result:
    """One stream: errors as shares of the best window's."""

    sensor_class: str
    bound: float
    own: float


def curve(job: tuple[int, int]) -> tuple[Array, Array]:
    """Level and rate of one roast of the generator."""
    roast = case(*job).roast
    at_s = roast.turning_point_s + np.arange(float(LONGEST_S))
    at_s = at_s[at_s < roast.drop_s]
    return roast.true_c(at_s), roast.true_rate_c_per_min(at_s)


def population(curves: Iterable[tuple[Array, Array]]) -> Population:
    """All of them, each as long as it is."""
    kept = list(curves)
    level_c, rate = np.full((2, len(kept), LONGEST_S), np.nan)
    for k, (level, slope) in enumerate(kept):
        level_c[k, : len(level)], rate[k, : len(slope)] = level, slope
    return Population(level_c, rate, np.array([len(level) for level, _ in kept]))


def errors_of(sensor: Sensor, at_s: Array, readings: Array) -> Array:
    """Covariance of the errors of levels, each the mean of so many readings; shape (n, n)."""
    variance = max(sensor.noise_sd_c, LEAST_SD_C) ** 2
    white = sensor.step_c**2 / 12.0 + (0.0 if sensor.noise_lasts_s else variance)
    covariance: Array = np.diag(white / readings)
    count = max(round(LEVEL_S / sensor.interval_s), 1)
    for shift in range(1 - count, count):
        apart_s = np.abs(at_s[:, None] - at_s + shift * sensor.interval_s)
        share = (count - abs(shift)) / count**2
        if sensor.noise_lasts_s:
            covariance += share * variance * np.exp(-apart_s / sensor.noise_lasts_s)
        if sensor.hum_c:
            hum = 0.5 * sensor.hum_c**2 * np.exp(-apart_s / HUM_LASTS_S)
            covariance += share * hum * np.cos(2.0 * np.pi * apart_s / sensor.hum_period_s)
    return covariance


def levels(stream: Stream, from_s: float) -> tuple[Array, Array, Array]:
    """Seconds after `from_s`, °C and number of readings of each two seconds that have any."""
    after_s = stream.time_s - from_s
    these = after_s >= 0.0
    which = (after_s[these] // LEVEL_S).astype(np.intp)
    readings = np.bincount(which).astype(np.float64)
    full = readings > 0.0
    at_s = np.bincount(which, after_s[these])[full] / readings[full]
    level_c = np.bincount(which, stream.bean_c[these])[full] / readings[full]
    return at_s, level_c, readings[full]


def bound(known: Population, roast: Roast, stream: Stream, sensor: Sensor) -> float:
    """Root-mean-square error of the best linear estimator, °C/min."""
    at_s, level_c, readings = levels(stream, roast.turning_point_s)
    errors = errors_of(sensor, at_s, readings)
    off = []
    for k in range(0, len(at_s), TOLD_EVERY):
        now_s = int(at_s[k] // LEVEL_S * LEVEL_S + LEVEL_S)
        roast_s = roast.turning_point_s + now_s
        if now_s <= SETTLED_S or now_s >= LONGEST_S or roast_s >= roast.drop_s - 1.0:
            continue
        seen = slice(max(0, k + 1 - SEEN_LEVELS), k + 1)
        second = np.minimum(np.round(at_s[seen]).astype(np.intp), now_s)
        going_on = known.lasts_s > now_s
        if np.count_nonzero(going_on) < LEAST_GOING_ON:
            break
        levels_c, rate = known.level_c[going_on][:, second], known.rate[going_on, now_s]
        mean_c, mean_rate = levels_c.mean(axis=0), rate.mean()
        rise = known.rate[going_on][:, second].mean(axis=0) / 60.0
        levels_c -= mean_c
        shared = levels_c.T @ levels_c / len(rate)
        with_rate = levels_c.T @ (rate - mean_rate) / len(rate)
        told = shared + errors[seen, seen]
        here_c = level_c[seen] - rise * (at_s[seen] - second) - mean_c
        estimate = mean_rate + with_rate @ np.linalg.solve(told, here_c)
        off.append(estimate - roast.true_rate_c_per_min(np.array([roast_s]))[0])
    return float(np.sqrt(np.mean(np.square(off))))


def measure(job: tuple[int, int]) -> Result:
    """Both on the case of this index and seed."""
    one = case(*job)
    stream, roast = one.stream(), one.roast
    truth, these = roast.true_rate_c_per_min(stream.time_s), judged(roast, stream.time_s)
    _, window_error, _ = best_window(stream.time_s, stream.bean_c, truth, these)
    return Result(
        one.sensor_class,
        bound(_KNOWN[0], roast, stream, one.sensor) / window_error,
        score(roast, stream, None).error / window_error,
    )


_KNOWN: list[Population] = []
"""Filled before the workers begin, which take it with them."""


def table(results: list[Result]) -> Iterator[str]:
    """Means by sensor class."""
    yield f"| {'':16} | roasts | linear bound |  ours |"
    yield "|" + "-" * 18 + "|-------:|-------------:|------:|"
    groups = {"all": results} | {
        name: [r for r in results if r.sensor_class == name] for name in SENSOR_CLASSES
    }
    for name, group in groups.items():
        if group:
            limit = np.mean([r.bound for r in group])
            own = np.mean([r.own for r in group])
            yield f"| {name:16} | {len(group):6} | {limit:12.2f} | {own:5.2f} |"


def main() -> None:
    """Learn, measure and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("roasts", nargs="?", type=int, default=80)
    parser.add_argument("--seed", type=int, default=5)
    parser.add_argument("--learned-from", type=int, default=2000, help="roasts to learn from")
    given = parser.parse_args()
    began = time.monotonic()
    learned = [
        (k % ROASTS_A_SEED, 1000 + given.seed + k // ROASTS_A_SEED)
        for k in range(given.learned_from)
    ]
    with Pool() as pool:
        _KNOWN.append(population(pool.imap(curve, learned, chunksize=10)))
    with Pool() as pool:
        results = pool.map(measure, [(k, given.seed) for k in range(given.roasts)], chunksize=1)
    print("\n".join(table(results)))
    print(f"mean share of the error of the best window in hindsight; seed {given.seed}, learned")
    print(f"from {given.learned_from} roasts of other seeds; {time.monotonic() - began:.0f} s")


if __name__ == "__main__":
    main()
