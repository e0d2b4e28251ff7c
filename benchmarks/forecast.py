"""How well the next milestones are foreseen, against straight lines along the best window's slope.

    python benchmarks/forecast.py [ROASTS] [--seed N] [--quick] [--scatter C] [--spikes N]
        [--charge found|alike|marked] [--only INDEX]

Synthetic roasts (see `generator`) go through a Session reading by reading beside their reference,
with first crack marked as it happens, as `replay` does. 30, 60 and 120 s before the true moment the
forecast then in force is held against it. The baseline extrapolates the bean temperature in a
straight line to the temperature at which the reference met the milestone. It starts from the true
temperature, along the slope of whichever window gave the best rate on that very stream (see
`windows`): only the slope can err.

In the generator beans crack at a temperature that differs from batch to batch by 1.2 °C, which
nobody can foresee. So first crack is judged three times: as generated; at the moment the true curve
passes the temperature that the forecast was given; and at one that differs by `--scatter` °C.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterable, Iterator
from copy import deepcopy
from dataclasses import dataclass, replace
from itertools import islice
from math import inf
from multiprocessing import Pool

import numpy as np
from follow import Charge, hand_marks, in_order, reference_of
from generator import SENSOR_CLASSES, Case, Kind, Roast, Stream, case
from numpy.typing import NDArray
from rate_of_rise import judged
from windows import best_window

from roastside.core.events import Forecast
from roastside.core.readings import Item, Mark, MarkName
from roastside.core.reference import Reference
from roastside.core.session import Session

Array = NDArray[np.float64]

AHEAD_S = (30.0, 60.0, 120.0)
RISING_AFTER_S = 30.0
"""Nothing is asked of a forecast sooner after the turning point."""

IN_FORCE_S = 10.0
"""A forecast that was not renewed for so long is none."""

AT_WORK_S = 30.0

YELLOWING, AS_GENERATED, AT_TARGET, SCATTERED, DROP = MILESTONES = (
    "yellowing",
    "first crack",
    "first crack, at the temperature given",
    "first crack, scattered",
    "drop",
)


@dataclass(frozen=True, slots=True)
class Moment:
    """A true moment (stream s), the forecasts of it, and the temperature (°C) a line aims for."""

    milestone: str
    true_s: float
    forecasts: list[Forecast]
    target_c: float


@dataclass(frozen=True, slots=True)
class Told:
    """One forecast `ahead_s` before its moment; errors are forecast minus true, seconds.

    `error_s`, `low_s` and `high_s` (the interval's ends minus the truth) are nan if nothing was
    told. `at_work`: the cause of a departure had begun AT_WORK_S before. `chance_s`: how far the
    moment is from where the true curve passes the temperature aimed for, nan where it never does.
    """

    one: Case
    milestone: str
    ahead_s: float
    at_work: bool
    error_s: float
    low_s: float
    high_s: float
    line_error_s: float
    chance_s: float


def fed(session: Session, items: Iterable[Item]) -> list[Forecast]:
    """The forecasts a session makes of these items."""
    return [e for item in items for e in session.feed(item) if isinstance(e, Forecast)]


def followed(
    items: list[Item], reference: Reference, first_cracks_s: list[float]
) -> list[list[Forecast]]:
    """The forecasts of one roast, for each moment at which it may have cracked."""
    session = Session(reference=reference)
    alike = sum(item.time_s < min(first_cracks_s) for item in items)
    before = fed(session, items[:alike])
    cracks = [Mark(at_s, MarkName.FIRST_CRACK) for at_s in first_cracks_s]
    return [before + fed(deepcopy(session), in_order(items[alike:], [mark])) for mark in cracks]


def moments(
    one: Case,
    items: list[Item],
    reference: Reference,
    chance: np.random.Generator,
    scatter_c: float,
) -> list[Moment]:
    """What is to be foreseen, with what the Session said of it."""
    roast, recorded = one.roast, one.reference
    given_c = reference.at(reference.marks[MarkName.FIRST_CRACK])[0]
    scattered_c = float(recorded.true_c(recorded.first_crack_s)) + chance.normal(0.0, scatter_c)
    cracks = {
        AS_GENERATED: roast.first_crack_s,
        AT_TARGET: passes_s(roast, given_c),
        SCATTERED: passes_s(roast, scattered_c),
    }
    happened = {name: at_s for name, at_s in cracks.items() if at_s is not None}
    told = dict(zip(happened, followed(items, reference, list(happened.values())), strict=True))
    own = told[AS_GENERATED]
    drop_c = reference.at(reference.marks[MarkName.DROP])[0]
    return [
        Moment(YELLOWING, roast.yellowing_s, _only(own, MarkName.YELLOWING), 150.0),
        *(
            Moment(name, at_s, _only(told[name], MarkName.FIRST_CRACK), given_c)
            for name, at_s in happened.items()
        ),
        Moment(DROP, roast.drop_s, _only(own, MarkName.DROP), drop_c),
    ]


def passes_s(roast: Roast, bean_c: float) -> float | None:
    """When the true curve comes up to a temperature, stream s; None if not before the drop."""
    at_s = roast.bean.rises_through(bean_c, roast.turning_point_s)
    return at_s if at_s is not None and at_s < roast.drop_s else None


def _only(forecasts: list[Forecast], milestone: str) -> list[Forecast]:
    return [forecast for forecast in forecasts if forecast.milestone == milestone]


@dataclass(frozen=True, slots=True)
class Job:
    """A roast to foresee, and how it is seen."""

    index: int
    seed: int
    scatter_c: float
    spikes: int
    charge: Charge


def measure(job: Job) -> list[Told]:
    """Everything about one roast; nothing if it is not meant to follow its reference."""
    one = case(job.index, job.seed)
    if one.kind is Kind.WRONG:
        return []
    stream = one.stream(replace(one.sensor, spikes=job.spikes))
    chance = np.random.default_rng([job.seed, job.index, 9])
    roast = one.roast
    truth, these = roast.true_rate_c_per_min(stream.time_s), judged(roast, stream.time_s)
    _, _, rate = best_window(stream.time_s, stream.bean_c, truth, these)
    items = in_order(stream.readings(), hand_marks(one, job.charge))
    reference = reference_of(one, job.charge)
    return [
        _told(one, moment, ahead_s, stream, rate)
        for moment in moments(one, items, reference, chance, job.scatter_c)
        for ahead_s in AHEAD_S
        if moment.true_s - ahead_s > roast.turning_point_s + RISING_AFTER_S
    ]


def _told(one: Case, moment: Moment, ahead_s: float, stream: Stream, rate: Array) -> Told:
    now_s = moment.true_s - ahead_s
    k = int(np.searchsorted(stream.time_s, now_s, side="right")) - 1
    slope = float(rate[k]) / 60.0
    to_go_c = moment.target_c - float(one.roast.true_c(now_s))
    error_s = low_s = high_s = float("nan")
    passed_s = passes_s(one.roast, moment.target_c)
    made = [f for f in moment.forecasts if now_s - IN_FORCE_S < f.time_s <= now_s]
    if made and (last := made[-1]).elapsed_s is not None:
        late_s = last.time_s - last.elapsed_s - moment.true_s
        error_s, low_s, high_s = last.at_s + late_s, last.low_s + late_s, last.high_s + late_s
    return Told(
        one=one,
        milestone=moment.milestone,
        ahead_s=ahead_s,
        at_work=one.roast.upset_s is not None and one.roast.upset_s <= now_s - AT_WORK_S,
        error_s=error_s,
        low_s=low_s,
        high_s=high_s,
        line_error_s=to_go_c / slope - ahead_s if slope > 0.0 else inf,
        chance_s=float("nan") if passed_s is None else abs(passed_s - moment.true_s),
    )


COLUMNS = ("told of", "median", "9 of 10", "late by", "inside", "wide", "chance", "line", "ratio")

LEGEND = """\
Seconds. told of: how many forecasts there were, of how many moments. median and 9 of 10: half and
nine tenths of the errors are no larger. late by: median of the signed errors. inside: share of true
moments in the 80 % interval. wide: its median width. chance: median distance from where the true
curve passes the temperature aimed for, which is what would be left if the curve were known to the
end (a drop is not foreseen by temperature). line: median error of straight lines along the best
window's slope; ratio: to it.
"""


def row(name: str, told: list[Told]) -> str:
    """One line of a table."""
    known = [t for t in told if np.isfinite(t.error_s)]
    if not known:
        return _line(name, [f"0/{len(told)}", *["–"] * (len(COLUMNS) - 1)])
    error = np.array([t.error_s for t in known])
    size, line = np.abs(error), np.median([abs(t.line_error_s) for t in known])
    cells = [
        f"{len(known)}/{len(told)}",
        f"{np.median(size):.1f}",
        f"{np.quantile(size, 0.9):.1f}",
        f"{np.median(error):+.1f}",
        f"{100.0 * np.mean([t.low_s <= 0.0 <= t.high_s for t in known]):.0f} %",
        f"{np.median([t.high_s - t.low_s for t in known]):.1f}",
        f"{np.nanmedian([t.chance_s for t in known]):.1f}",
        f"{line:.1f}",
        f"{np.median(size) / line:.2f}",
    ]
    return _line(name, cells)


def _line(name: str, cells: Iterable[str]) -> str:
    return f"| {name:26} | " + " | ".join(f"{cell:>7}" for cell in cells) + " |"


def _heading(name: str) -> Iterator[str]:
    yield _line(name, COLUMNS)
    yield "|" + "-" * 28 + "|" + "|".join(["--------:"] * len(COLUMNS)) + "|"


GROUPS: dict[str, Callable[[Told], bool]] = {
    "repeats": lambda told: told.one.kind is Kind.REPEAT,
    "departures": lambda told: told.one.kind is Kind.DEPARTURE,
    "their cause at work": lambda told: told.at_work,
    "all": lambda told: True,
}


def tables(told: list[Told], scatter_c: float) -> Iterator[str]:
    """A table for each milestone, and first crack by sensor class."""
    for milestone in MILESTONES:
        yield milestone + (f" by {scatter_c:g} °C" if milestone == SCATTERED else "")
        yield ""
        yield from _heading("")
        for ahead_s in AHEAD_S:
            here = [t for t in told if t.milestone == milestone and t.ahead_s == ahead_s]
            for name, belongs in GROUPS.items():
                yield row(f"{ahead_s:.0f} s, {name}", [t for t in here if belongs(t)])
        yield ""
    yield f"{AT_TARGET}, 60 s ahead, by sensor"
    yield ""
    yield from _heading("")
    for sensor_class in SENSOR_CLASSES:
        here = [t for t in _sixty(told, AT_TARGET) if t.one.sensor_class == sensor_class]
        yield row(sensor_class, here)
    yield ""


def _sixty(told: list[Told], milestone: str) -> list[Told]:
    return [t for t in told if t.milestone == milestone and t.ahead_s == 60.0]


def remarks(told: list[Told]) -> Iterator[str]:
    """Where forecasts 60 s ahead were furthest off, and where there were none."""
    for milestone in MILESTONES:
        here = _sixty(told, milestone)
        known = [t for t in here if np.isfinite(t.error_s)]
        yield f"furthest off, {milestone}, 60 s ahead:"
        for t in islice(sorted(known, key=lambda t: -abs(t.error_s)), 6):
            yield f"  {_words(t)}"
        missing = [t.one.index for t in here if not np.isfinite(t.error_s)]
        if missing:
            yield f"  none told: {missing}"


def _words(t: Told) -> str:
    """One forecast, with what may have spoiled it."""
    roast = t.one.roast
    cause = ""
    if roast.upset_s is not None:
        cause = f", {roast.upset} from {roast.upset_s - roast.charge_s:.0f} s elapsed"
    return (
        f"{t.error_s:+.1f} s [{t.low_s:+.1f}, {t.high_s:+.1f}], line {t.line_error_s:+.1f} "
        f"(#{t.one.index} {t.one.family}, {t.one.kind}, {t.one.sensor_class}{cause})"
    )


def main() -> None:
    """Run the set and print the tables."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("roasts", nargs="?", type=int, default=240)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="40 roasts")
    parser.add_argument("--scatter", type=float, default=0.4, metavar="C", help="default 0.4")
    parser.add_argument("--spikes", type=int, default=0, help="wild readings a roast")
    parser.add_argument("--charge", type=Charge, choices=list(Charge), default=Charge.FOUND)
    parser.add_argument("--only", type=int, metavar="INDEX", help="one roast, in full")
    asked = parser.parse_args()

    def job(index: int) -> Job:
        return Job(index, asked.seed, asked.scatter, asked.spikes, asked.charge)

    if asked.only is not None:
        print(case(asked.only, asked.seed).sensor)
        for t in measure(job(asked.only)):
            print(f"{t.milestone}, {t.ahead_s:.0f} s ahead: {_words(t)}")
        return
    count = 40 if asked.quick else asked.roasts
    begin = time.perf_counter()
    # Of five cases one is another coffee's, whose first crack the reference does not tell.
    jobs = [job(index) for index in range(count * 5 // 4)]
    with Pool(2) as pool:
        told = [t for some in pool.imap_unordered(measure, jobs) for t in some]
    told.sort(key=lambda t: t.one.index)
    print(LEGEND)
    print("\n".join(tables(told, asked.scatter)))
    print("\n".join(remarks(told)))
    took_s = time.perf_counter() - begin
    print(f"{count} roasts, seed {asked.seed}, charge {asked.charge}, {took_s:.0f} s")


if __name__ == "__main__":
    main()
