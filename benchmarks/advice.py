"""Whether a roast that leaves its corridor is told of in time, and a good one left in peace.

    python benchmarks/advice.py [ROASTS] [--seed N] [--quick] [--spikes N] [--gaps N]
        [--charge found|alike|marked] [--only INDEX]

Synthetic roasts (see `generator`), half of them with something wrong, go through a Session reading
by reading beside their reference, with first crack marked as it happens, as `replay` does. A roast
leaves its corridor when the true curve is more than 2 °C off the reference, from 30 s after the
turning point on. It is good while it stays within 60 % of that to the drop; what repeats the
reference less well is neither, and listed apart.

The warning is what tells the side on which the roast leaves, and stands when it leaves: it is as
old as the first of those alerts that took turns without a pause until then. One that was taken back
before does not count.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import islice
from math import inf
from multiprocessing import Pool
from statistics import median

import numpy as np
from follow import Charge, hand_marks, in_order, reference_of
from generator import SENSOR_CLASSES, Case, Kind, case
from numpy.typing import NDArray

from roastside.core.events import Alert, AlertState, Family
from roastside.core.readings import Mark, MarkName
from roastside.core.session import Session

Array = NDArray[np.float64]

GOOD_C = 0.6 * 2.0
IN_TIME_S = 5.0
"""A warning so long after leaving is still in time."""

EARLY_S = 120.0
"""So long before leaving, a warning may have been luck."""

LOW = ("below_reference", "behind_reference", "leaving_low")
HIGH = ("above_reference", "ahead_of_reference", "leaving_high")

FAULTY, BETWEEN, GOOD = GROUPS = ("faulty", "between", "good")


@dataclass(frozen=True, slots=True)
class Watched:
    """One roast and the alerts of it. Stream seconds; `leaves_s` nan if it stays inside.

    `worst_c` is its largest departure from the reference, `off_c` the one as it leaves, and
    `leaving_c_per_min` how fast it grows then. `warned_s` nan: no warning. `charge_late_s`: by how
    much charge was found late.
    """

    one: Case
    group: str
    minutes: float
    alerts: list[Alert]
    worst_c: float
    leaves_s: float
    off_c: float
    leaving_c_per_min: float
    warned_s: float
    charge_late_s: float

    @property
    def lead_s(self) -> float:
        """How long before leaving it was warned of, negative after; -inf if never."""
        return -inf if np.isnan(self.warned_s) else self.leaves_s - self.warned_s

    @property
    def raised(self) -> list[Alert]:
        """What sounded."""
        return [alert for alert in self.alerts if alert.state is AlertState.RAISED]

    @property
    def starts_outside(self) -> bool:
        """It had left before anyone could ask."""
        return abs(self.off_c) > 2.0 and self.leaves_s - self.one.roast.turning_point_s < 31.0


@dataclass(frozen=True, slots=True)
class Job:
    """A roast to watch, and how it is seen."""

    index: int
    seed: int
    spikes: int
    gaps: int
    charge: Charge


def measure(job: Job) -> Watched | None:
    """Everything about one roast; None if it is not meant to follow its reference."""
    one = case(job.index, job.seed)
    if one.kind is Kind.WRONG:
        return None
    time_s, off_c = one.roast.deviation_c(one.reference)
    worst_c = float(np.max(np.abs(off_c)))
    leaves_s = one.roast.leaves_corridor_s(one.reference)
    alerts, charge_late_s = watch(one, job)
    k = 0 if leaves_s is None else int(np.searchsorted(time_s, leaves_s))
    within = GOOD if worst_c <= GOOD_C else BETWEEN
    return Watched(
        one=one,
        group=within if leaves_s is None else FAULTY,
        minutes=(one.roast.end_s - one.roast.charge_s) / 60.0,
        alerts=alerts,
        worst_c=worst_c,
        leaves_s=float("nan") if leaves_s is None else leaves_s,
        off_c=float(off_c[k]),
        leaving_c_per_min=60.0 * float(np.gradient(off_c)[k]),
        warned_s=float("nan") if leaves_s is None else warned_s(alerts, leaves_s, off_c[k] < 0.0),
        charge_late_s=charge_late_s,
    )


def watch(one: Case, job: Job) -> tuple[list[Alert], float]:
    """What a session says of a roast, and how many seconds late it found charge."""
    session = Session(reference=reference_of(one, job.charge))
    stream = one.stream(replace(one.sensor, spikes=job.spikes, gaps=job.gaps))
    marks = [*hand_marks(one, job.charge), Mark(one.roast.first_crack_s, MarkName.FIRST_CRACK)]
    events = [e for item in in_order(stream.readings(), marks) for e in session.feed(item)]
    charge_s = session.marks.time_s(MarkName.CHARGE)
    late_s = float("nan") if charge_s is None else charge_s - one.roast.charge_s
    return [event for event in events if isinstance(event, Alert)], late_s


def warned_s(alerts: list[Alert], leaves_s: float, low: bool) -> float:
    """When the warning that counts was raised (see above), stream s; nan if never."""
    telling, standing, since_s = LOW if low else HIGH, set[str](), float("nan")
    for alert in alerts:
        if alert.alert not in telling or alert.state is AlertState.ACKNOWLEDGED:
            continue
        if alert.time_s > leaves_s and standing:
            return since_s
        if alert.state is AlertState.RAISED:
            since_s = since_s if standing else alert.time_s
            standing.add(alert.alert)
            if alert.time_s > leaves_s:
                return since_s
        else:
            standing.discard(alert.alert)
    return since_s if standing else float("nan")


RULE_COLUMNS = (*GROUPS, "ahead")

RULE_LEGEND = """\
In how many roasts each alert was raised at all. ahead: the median of how many seconds before, at
its first time in a faulty roast; for deviation and pace before leaving the corridor, for first
crack before that, for development before the drop. Negative is after.
"""


def rules(watched: list[Watched]) -> Iterator[str]:
    """The alerts, and on how many roasts each was raised."""
    groups = [[w for w in watched if w.group == group] for group in GROUPS]
    counts = [Counter(a for w in group for a in {r.alert for r in w.raised}) for group in groups]
    yield _line("raised in", RULE_COLUMNS)
    yield "|" + "-" * 28 + "|" + "|".join(["--------:"] * len(RULE_COLUMNS)) + "|"
    yield _line("roasts", [f"{len(group)}" for group in groups] + ["–"])
    for alert in sorted(set().union(*counts), key=lambda alert: -sum(c[alert] for c in counts)):
        ahead = [a for w in groups[0] if (a := _ahead_s(w, alert)) is not None]
        told = f"{median(ahead):.0f}" if ahead else "–"
        yield _line(alert, [f"{count[alert]}" for count in counts] + [told])


def _ahead_s(w: Watched, alert: str) -> float | None:
    """How long before what it tells of an alert was first raised."""
    first = next((raised for raised in w.raised if raised.alert == alert), None)
    if first is None:
        return None
    if first.family is Family.DEVIATION or alert in LOW + HIGH:
        return w.leaves_s - first.time_s
    if alert.startswith("first_crack"):
        return w.one.roast.first_crack_s - first.time_s
    if alert.startswith("development") or alert == "drop_missed":
        return w.one.roast.drop_s - first.time_s
    return None


COLUMNS = (
    "faulty", "in time", "before", "lead", "least", "alerts",
    "good", "quiet", "no pace", "alerts", "sounds",
)  # fmt: skip

LEGEND = """\
faulty: how many leave their corridor; of these the share warned of no later than 5 s after, and
before; the median lead, and that which nine tenths have at least, seconds (inf: never warned);
alerts a roast. good: how many stay well inside; the share without any alert of the deviation
family, and without one of pace either; alerts a roast; sounds (alerts raised) in ten minutes,
good and faulty together.
"""


def row(name: str, watched: list[Watched]) -> str:
    """One line of the table."""
    faulty = [w for w in watched if w.group == FAULTY]
    good = [w for w in watched if w.group == GOOD]
    cells = [f"{len(faulty)}", *["–"] * 5, f"{len(good)}", *["–"] * 4]
    if faulty:
        lead = np.array([w.lead_s for w in faulty])
        cells[1:6] = [
            _share(lead >= -IN_TIME_S),
            _share(lead > 0.0),
            f"{np.median(lead):.0f}",
            f"{np.quantile(lead, 0.1, method='lower'):.0f}",
            f"{np.mean([len(w.raised) for w in faulty]):.1f}",
        ]
    if good:
        cells[7:10] = [
            _share([not _off_course(w) for w in good]),
            _share([not _off_course(w, LOW + HIGH) for w in good]),
            f"{np.mean([len(w.raised) for w in good]):.1f}",
        ]
    if both := faulty + good:
        raised, minutes = sum(len(w.raised) for w in both), sum(w.minutes for w in both)
        cells[10] = f"{10.0 * raised / minutes:.1f}"
    return _line(name, cells)


def _share(these: Iterable[object]) -> str:
    return f"{100.0 * np.mean([bool(this) for this in these]):.0f} %"


def _off_course(w: Watched, besides: tuple[str, ...] = ()) -> list[Alert]:
    """The alerts raised that tell of a deviation, or are among the others named."""
    return [a for a in w.raised if a.family is Family.DEVIATION or a.alert in besides]


def _line(name: str, cells: Iterable[str]) -> str:
    return f"| {name:26} | " + " | ".join(f"{cell:>7}" for cell in cells) + " |"


def table(watched: list[Watched]) -> Iterator[str]:
    """The results, all and by sensor class, family, and cause of the departure."""
    yield _line("", COLUMNS)
    yield "|" + "-" * 28 + "|" + "|".join(["--------:"] * len(COLUMNS)) + "|"
    yield row("all", watched)
    yield row("not outside from the start", [w for w in watched if not w.starts_outside])
    for sensor_class in SENSOR_CLASSES:
        yield row(sensor_class, [w for w in watched if w.one.sensor_class == sensor_class])
    named: tuple[Callable[[Watched], str], ...] = (
        lambda w: w.one.family,
        lambda w: w.one.roast.upset,
    )
    for name_of in named:
        for name in sorted({name_of(w) for w in watched} - {""}):
            yield row(name, [w for w in watched if name_of(w) == name])


def remarks(watched: list[Watched]) -> Iterator[str]:
    """The roasts warned of late or never, and the good ones that were troubled."""
    late_s = [w.charge_late_s for w in watched]
    yield f"charge known late by {median(late_s):.1f} s (median), by {max(late_s):.1f} s at most"
    faulty = sorted((w for w in watched if w.group == FAULTY), key=lambda w: w.lead_s)
    late = [w for w in faulty if w.lead_s <= 0.0]
    yield f"not warned of before they left: {len(late)} of {len(faulty)}"
    for w in islice(late, 20):
        yield f"  {_words(w)}"
    early = [w.one.index for w in faulty if w.lead_s > EARLY_S]
    yield f"warned of more than {EARLY_S:.0f} s before they left: {len(early)} {early}"
    taken_back = [w.one.index for w in faulty if _taken_back(w)]
    yield f"a warning of the right side taken back before they left: {len(taken_back)} {taken_back}"
    misled = [w.one.index for w in faulty if _wrong_side(w)]
    yield f"told of the other side before they left: {len(misled)} {misled}"
    good = [w for w in watched if w.group == GOOD]
    troubled = [w for w in good if _off_course(w, LOW + HIGH)]
    yield f"good, and told of a deviation or pace: {len(troubled)} of {len(good)}"
    for w in troubled:
        told = ", ".join(_name(w, alert) for alert in _off_course(w, LOW + HIGH))
        where = f"#{w.one.index} {w.one.family}, {w.one.sensor_class}"
        yield f"  {where}: {told}; at most {w.worst_c:.1f} °C off"


def _name(w: Watched, alert: Alert) -> str:
    """An alert, when it was raised, and how far off the roast truly was."""
    roast, reference = w.one.roast, w.one.reference
    elapsed_s = alert.time_s - roast.charge_s
    off_c = float(roast.true_c(alert.time_s) - reference.true_c(reference.charge_s + elapsed_s))
    return f"{alert.alert} at {elapsed_s:.0f} s ({off_c:+.1f} °C)"


def _words(w: Watched) -> str:
    roast = w.one.roast
    caused = "" if roast.upset_s is None else f" from {roast.upset_s - roast.charge_s:.0f} s"
    told = "never" if w.lead_s == -inf else f"{abs(w.lead_s):.0f} s " + _side(w.lead_s)
    start = ", outside from the start" if w.starts_outside else ""
    return (
        f"{told}: #{w.one.index} {w.one.family}, {w.one.sensor_class}, {roast.upset}{caused}, "
        f"leaves at {w.leaves_s - roast.charge_s:.0f} s by {w.leaving_c_per_min:+.1f} °C/min{start}"
    )


def _side(lead_s: float) -> str:
    return "before" if lead_s > 0.0 else "after"


def _taken_back(w: Watched) -> bool:
    """Whether a warning of the right side came and went before it left."""
    first = min((a.time_s for a in w.raised if a.alert in _telling(w)), default=inf)
    return first < min(w.leaves_s, inf if np.isnan(w.warned_s) else w.warned_s)


def _wrong_side(w: Watched) -> bool:
    other = HIGH if w.off_c < 0.0 else LOW
    return any(a.alert in other and a.time_s < w.leaves_s for a in w.raised)


def _telling(w: Watched) -> tuple[str, ...]:
    return LOW if w.off_c < 0.0 else HIGH


def main() -> None:
    """Run the set and print the tables."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("roasts", nargs="?", type=int, default=240)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--quick", action="store_true", help="40 roasts")
    parser.add_argument("--spikes", type=int, default=0, help="wild readings a roast")
    parser.add_argument("--gaps", type=int, default=0, help="silences of 3 to 15 s a roast")
    parser.add_argument("--charge", type=Charge, choices=list(Charge), default=Charge.FOUND)
    parser.add_argument("--only", type=int, metavar="INDEX", help="one roast, in full")
    asked = parser.parse_args()

    def job(index: int) -> Job:
        return Job(index, asked.seed, asked.spikes, asked.gaps, asked.charge)

    if asked.only is not None:
        tell(measure(job(asked.only)))
        return
    count = 40 if asked.quick else asked.roasts
    begin = time.perf_counter()
    # Of five cases one is another coffee's, and says nothing of advice on this one.
    jobs = [job(index) for index in range(count * 5 // 4)]
    with Pool(2) as pool:
        watched = [w for w in pool.imap_unordered(measure, jobs) if w is not None]
    watched.sort(key=lambda w: w.one.index)
    print(RULE_LEGEND)
    print("\n".join(rules(watched)) + "\n")
    print(LEGEND)
    print("\n".join(table(watched)) + "\n")
    print("\n".join(remarks(watched)))
    took_s = time.perf_counter() - begin
    print(f"{count} roasts, seed {asked.seed}, charge {asked.charge}, {took_s:.0f} s")


def tell(w: Watched | None) -> None:
    """Every alert of one roast."""
    if w is None:
        print("a roast of another coffee; choose another index")
        return
    print(w.one.sensor)
    print(f"{w.group}, at most {w.worst_c:.1f} °C off; {_words(w)}")
    for alert in w.alerts:
        print(f"{_name(w, alert)}: {alert.state}: {alert.message}")


if __name__ == "__main__":
    main()
