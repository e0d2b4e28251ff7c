"""How good the rate of rise is, against the best of many windows chosen in hindsight.

    python benchmarks/rate_of_rise.py [ROASTS] [--seed N] [--quick] [--only INDEX]

Synthetic roasts (see `generator`) go through a Session reading by reading, without and with a
reference, clean and with ten spikes. Errors are root mean squares of the rate against the true
one, °C/min, from 45 s after the turning point to a second before the drop. On every single
stream the baseline is whichever window did best on that very stream: two-point differences,
least-squares lines and parabolas, and Savitzky-Golay filters (scipy), 6 to 60 s long. Beside it
stands the best of thirty plain Kalman filters, chosen in hindsight too.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from multiprocessing import Pool

import numpy as np
from generator import FAMILIES, SENSOR_CLASSES, Case, Kind, Roast, Stream, case
from kalman import best_kalman
from numpy.typing import NDArray
from windows import best_window

from roastside.core.compare import Comparator, LaidReference
from roastside.core.events import Sample
from roastside.core.rate import RateFilter
from roastside.core.readings import Mark, MarkName
from roastside.core.reference import Reference
from roastside.core.session import Session

Array = NDArray[np.float64]

SETTLED_S = 45.0
HEARD_AFTER_S = 2.0
INTERVAL_SDS = 1.645
"""A 90 % interval reaches so many standard deviations to either side."""

SPIKES = 10
ASTRAY_S = 15.0


@dataclass(frozen=True, slots=True)
class Score:
    """One way of estimating on one stream: error (°C/min), share inside, share not told.

    `astray`: charge or drop was found where it is not.
    """

    error: float
    covered: float
    unknown: float
    astray: bool


@dataclass(frozen=True, slots=True)
class Result:
    """One stream."""

    index: int
    family: str
    kind: Kind
    sensor_class: str
    window: str
    window_error: float
    kalman: str
    kalman_error: float
    free: Score
    guided: Score
    free_spiked: Score
    guided_spiked: Score


def judged(roast: Roast, time_s: Array) -> NDArray[np.bool_]:
    """Which readings count."""
    return (time_s > roast.turning_point_s + SETTLED_S) & (time_s < roast.drop_s - 1.0)


def followed(roast: Roast, stream: Stream, session: Session) -> tuple[Array, Array]:
    """Rate and its sd (°C/min, nan where not told) at each reading, as the Session tells them."""
    heard_s = roast.first_crack_s + HEARD_AFTER_S
    told = []
    for reading in stream.readings():
        if reading.time_s >= heard_s:
            session.feed(Mark(roast.first_crack_s, MarkName.FIRST_CRACK))
            heard_s = float("inf")
        told += [event for event in session.feed(reading) if isinstance(event, Sample)]
    unknown = float("nan")
    rate = [unknown if s.rate_c_per_min is None else s.rate_c_per_min for s in told]
    rate_sd = [unknown if s.rate_sd is None else s.rate_sd for s in told]
    return np.array(rate), np.array(rate_sd)


def score(roast: Roast, stream: Stream, reference: Reference | None) -> Score:
    """Follow one stream and hold it against the truth."""
    session = Session(reference=reference)
    rate, rate_sd = followed(roast, stream, session)
    these = judged(roast, stream.time_s)
    off = rate[these] - roast.true_rate_c_per_min(stream.time_s[these])
    known = np.isfinite(off)
    return Score(
        error=float(np.sqrt(np.mean(off[known] ** 2))),
        covered=float(np.mean(np.abs(off[known]) < INTERVAL_SDS * rate_sd[these][known])),
        unknown=1.0 - float(np.mean(known)),
        astray=any(
            abs((session.marks.time_s(name) or 0.0) - roast.marks[name]) > ASTRAY_S
            for name in (MarkName.CHARGE, MarkName.DROP)
        ),
    )


def reference_of(one: Case) -> Reference:
    """The reference as a user has it: smoothed from a noisy recording."""
    recorded = one.reference
    marks = {name: recorded.marks[name] for name in ("charge", "first_crack", "drop")}
    return Reference.from_readings("reference", one.reference_stream().readings(), marks)


def measure(job: tuple[int, int]) -> Result:
    """Everything about the case of this index and seed."""
    one = case(*job)
    reference = reference_of(one)
    clean, spiked = one.stream(), one.stream(replace(one.sensor, spikes=SPIKES))
    truth, these = one.roast.true_rate_c_per_min(clean.time_s), judged(one.roast, clean.time_s)
    window, window_error, _ = best_window(clean.time_s, clean.bean_c, truth, these)
    kalman, kalman_error = best_kalman(
        clean.time_s, clean.bean_c, truth, these, one.roast.turning_point_s
    )
    return Result(
        index=one.index,
        family=one.family,
        kind=one.kind,
        sensor_class=one.sensor_class,
        window=window,
        window_error=window_error,
        kalman=kalman,
        kalman_error=kalman_error,
        free=score(one.roast, clean, None),
        guided=score(one.roast, clean, reference),
        free_spiked=score(one.roast, spiked, None),
        guided_spiked=score(one.roast, spiked, reference),
    )


def cost_us(stream: Stream, charge_s: float, reference: Reference | None) -> float:
    """Microseconds a reading of the filter alone, best of three roasts."""
    course = None if reference is None else LaidReference(Comparator(reference), charge_s)
    readings = [
        (at, bean)
        for at, bean in zip(stream.time_s.tolist(), stream.bean_c.tolist(), strict=True)
        if at >= charge_s
    ]
    took = []
    for _ in range(3):
        rate_filter = RateFilter(charge_s, course)
        begin = time.perf_counter()
        for at, bean in readings:
            rate_filter.update(at, bean)
        took.append(time.perf_counter() - begin)
    return 1e6 * min(took) / len(readings)


COLUMNS = (
    "roasts", "window", "Kalman",
    "free", "of best", "worst", "inside", "spikes",
    "guided", "of best", "worst", "inside", "spikes",
)  # fmt: skip

LEGEND = """\
Errors of the rate, °C/min. window: of the best window in hindsight, median. Kalman: mean ratio to
it of the best plain Kalman filter in hindsight. free and guided (without and with reference):
median error; mean and worst ratio to that stream's best window; share of errors inside the 90 %
interval; how many times ten spikes make the own error, median.
"""


def row(name: str, results: list[Result]) -> str:
    """One line of the table."""
    window = np.array([r.window_error for r in results])
    kalman = np.array([r.kalman_error for r in results])
    cells = [f"{len(results)}", f"{np.median(window):.2f}", f"{np.mean(kalman / window):.2f}"]
    for clean, spiked in (
        ([r.free for r in results], [r.free_spiked for r in results]),
        ([r.guided for r in results], [r.guided_spiked for r in results]),
    ):
        error = np.array([score.error for score in clean])
        worse = np.array([score.error for score in spiked]) / error
        cells += [
            f"{np.median(error):.2f}",
            f"{np.mean(error / window):.2f}",
            f"{np.max(error / window):.2f}",
            f"{100.0 * np.mean([score.covered for score in clean]):.0f} %",
            f"{np.median(worse):.2f}",
        ]
    return _line(name, cells)


def _line(name: str, cells: Iterable[str]) -> str:
    return f"| {name:26} | " + " | ".join(f"{cell:>7}" for cell in cells) + " |"


def table(results: list[Result]) -> Iterable[str]:
    """The results by kind, by family and kind, and by sensor class and kind."""
    yield _line("", COLUMNS)
    yield "|" + "-" * 28 + "|" + "|".join(["--------:"] * len(COLUMNS)) + "|"
    yield row("all", results)
    groups = {f"{kind}": [r for r in results if r.kind is kind] for kind in Kind}
    for family in FAMILIES:
        for kind in Kind:
            groups[f"{family}, {kind}"] = [
                r for r in results if r.family == family and r.kind is kind
            ]
    for sensor in SENSOR_CLASSES:
        for kind in Kind:
            groups[f"{sensor}, {kind}"] = [
                r for r in results if r.sensor_class == sensor and r.kind is kind
            ]
    for name, group in groups.items():
        if group:
            yield row(name, group)


def remarks(results: list[Result]) -> Iterable[str]:
    """Which baselines did best, where we did worst (by index), and what went astray."""
    for name, chosen in (
        ("windows", Counter(r.window for r in results)),
        ("Kalman filters", Counter(r.kalman for r in results)),
    ):
        yield f"best {name}: " + ", ".join(f"{which} ({n})" for which, n in chosen.most_common(6))
    ratios: dict[str, Callable[[Result], float]] = {
        "free": lambda r: r.free.error / r.window_error,
        "guided": lambda r: r.guided.error / r.window_error,
        "free with spikes": lambda r: r.free_spiked.error / r.free.error,
        "guided with spikes": lambda r: r.guided_spiked.error / r.guided.error,
    }
    for name, ratio in ratios.items():
        ranked = sorted(results, key=ratio, reverse=True)[:6]
        yield f"worst {name}: " + ", ".join(
            f"{ratio(r):.2f} (#{r.index} {r.family}, {r.kind}, {r.sensor_class})" for r in ranked
        )
    for name, scores in (
        ("clean", [r.free for r in results]),
        ("with spikes", [r.free_spiked for r in results]),
    ):
        astray = [r.index for r, one in zip(results, scores, strict=True) if one.astray]
        yield f"charge or drop found wrongly, {name}: {len(astray)} of {len(scores)} {astray[:12]}"
    unknown = max(one.unknown for r in results for one in (r.free, r.guided))
    yield f"readings without a rate, clean: at most {100.0 * unknown:.1f} % of a roast's"


def main() -> None:
    """Run the set and print the table."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("roasts", nargs="?", type=int, default=240)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="40 roasts")
    parser.add_argument("--only", type=int, metavar="INDEX", help="one roast, in full")
    asked = parser.parse_args()
    if asked.only is not None:
        print(case(asked.only, asked.seed).sensor)
        print(measure((asked.only, asked.seed)))
        return
    count = 40 if asked.quick else asked.roasts
    begin = time.perf_counter()
    with Pool(2) as pool:
        results = pool.map(measure, [(index, asked.seed) for index in range(count)], chunksize=5)
    print(LEGEND)
    print("\n".join(table(results)) + "\n")
    print("\n".join(remarks(results)))
    one = case(0, asked.seed)
    charge_s = one.roast.charge_s
    print(
        f"the filter alone: {cost_us(one.stream(), charge_s, None):.0f} µs a reading free, "
        f"{cost_us(one.stream(), charge_s, reference_of(one)):.0f} µs guided"
    )
    print(f"{count} roasts, seed {asked.seed}, {time.perf_counter() - begin:.0f} s")


if __name__ == "__main__":
    main()
