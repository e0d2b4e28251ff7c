"""The shape of whole roasts: good ones have nothing to tell, planted faults are found in time."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import exp

import pytest

from roastside.core.errors import UsageError
from roastside.core.findings import Finding, FindingKind
from roastside.core.finished import FinishedRoast
from roastside.core.rate import Estimate, RateFilter
from roastside.core.readings import Reading
from roastside.core.shape import ShapeWatch, shape_findings
from tests.core.roasts import QUIET, Probe, Truth, readings

GOOD = Truth(limit_c=270.0)
MARKS = {"charge": 40.0, "first_crack": 540.0, "drop": 660.0}
ELAPSED = {"turning_point": GOOD.turning_point_s, "first_crack": 500.0, "drop": 620.0}
SENSORS = [
    Probe(interval_s, noise_sd_c, step_c, seed=seed)
    for seed, interval_s in enumerate((0.25, 0.5, 1.0, 2.0), start=1)
    for noise_sd_c, step_c in ((0.1, 0.1), (0.25, 0.25), (0.3, 1.0))
]


@dataclass(frozen=True)
class Faulty(Truth):
    """A roast whose rate goes down at `at_s` (elapsed) by `depth` °C/min and comes up again.

    Down and up within `edge_s` seconds each, and `lasts_s` between.
    """

    limit_c: float = 270.0
    depth: float = 4.0
    at_s: float = 500.0
    edge_s: float = 15.0
    lasts_s: float = 0.0

    def bean_c(self, time_s: float) -> float:
        lost_c = self.depth / 60.0 * self._area_s(min(time_s - self.charge_s, self.drop_s))
        after_s = max(time_s - self.charge_s - self.drop_s, 0.0)
        return super().bean_c(time_s) - lost_c * exp(-after_s / 20.0)

    def _area_s(self, elapsed_s: float) -> float:
        """The integral of a trapezium of height one."""
        edge, into = self.edge_s, elapsed_s - self.at_s
        down = min(max(into, 0.0), edge) ** 2 / (2.0 * edge)
        flat = min(max(into - edge, 0.0), self.lasts_s)
        rest = min(max(into - edge - self.lasts_s, 0.0), edge)
        return down + flat + rest - rest**2 / (2.0 * edge)


def live(truth: Truth, probe: Probe) -> tuple[ShapeWatch, list[tuple[float, Finding]]]:
    """The watch at drop, and what it found with the elapsed time at which it did."""
    rate, watch, found = RateFilter(truth.charge_s), ShapeWatch(), []
    for reading in readings(truth, probe, truth.charge_s + truth.drop_s):
        if reading.time_s < truth.charge_s or reading.bean_c is None:
            continue
        estimate = rate.update(reading.time_s, reading.bean_c)
        elapsed_s = reading.time_s - truth.charge_s
        marks = {name: at_s for name, at_s in ELAPSED.items() if at_s <= elapsed_s}
        if estimate is not None:
            found += [(elapsed_s, each) for each in watch.update(estimate, elapsed_s, marks)]
    return watch, found


def finished(truth: Truth, probe: Probe, **marks: float) -> FinishedRoast:
    return FinishedRoast.from_readings("house", readings(truth, probe), {**MARKS, **marks})


def only(found: list[Finding], kind: FindingKind) -> Finding:
    [wanted] = [finding for finding in found if finding.kind is kind]
    return wanted


@pytest.mark.parametrize("probe", SENSORS)
def test_a_roast_whose_rate_falls_steadily_has_nothing_else_to_tell(probe: Probe) -> None:
    watch, found = live(GOOD, probe)
    assert (watch.findings, found) == ([], [])
    [falling] = shape_findings(finished(GOOD, probe))
    assert falling.kind is FindingKind.FALLING
    assert falling.to_s == pytest.approx(GOOD.drop_s, abs=2.0)
    peak, end = (60.0 * GOOD.slope_c_per_s(at_s) for at_s in (falling.from_s, falling.to_s))
    assert falling.size == pytest.approx(peak - end, abs=1.5)


@pytest.mark.parametrize("probe", [Probe(0.5, 0.1, 0.1), Probe(0.5), Probe(1.0, 0.2)])
def test_a_sudden_fall_and_its_rebound_are_found_in_time(probe: Probe) -> None:
    watch, found = live(Faulty(), probe)
    # The corner at its end is sharper than a roast's: what follows may be told as one more fall.
    (fell_s, fall), (rose_s, rebound) = found[:2]
    assert [fall.kind, rebound.kind] == ["sudden_fall", "rebound"]
    assert all(finding.kind == "sudden_fall" and at_s > 540.0 for at_s, finding in found[2:])
    assert 500.0 < fell_s < 530.0 and fell_s < rose_s < 560.0
    assert fall.from_s == pytest.approx(500.0, abs=10.0)
    assert only(watch.findings, FindingKind.REBOUND).size > 1.5


def test_a_finished_roast_tells_when_and_how_much() -> None:
    told = shape_findings(finished(Faulty(edge_s=20.0), QUIET))
    fall, rebound = only(told, FindingKind.SUDDEN_FALL), only(told, FindingKind.REBOUND)
    assert (fall.from_s, fall.to_s) == pytest.approx((500.0, 520.0), abs=4.0)
    assert fall.size == pytest.approx(4.0, abs=0.5)
    assert (rebound.from_s, rebound.to_s) == pytest.approx((520.0, 540.0), abs=4.0)
    # Of the 4 °C/min the steady decline takes some back in those 20 s.
    down = 60.0 * (GOOD.slope_c_per_s(520.0) - GOOD.slope_c_per_s(540.0))
    assert rebound.size == pytest.approx(4.0 - down, abs=0.5)


def test_the_same_fall_in_mid_roast_is_no_matter_of_first_crack_but_the_rise_is_told() -> None:
    truth = Faulty(at_s=250.0, edge_s=20.0)
    assert [finding.kind for _, finding in live(truth, Probe(noise_sd_c=0.05))[1]] == ["rise"]
    told = shape_findings(finished(truth, QUIET))
    assert [finding.kind for finding in told] == ["rise"]
    assert (told[0].from_s, told[0].to_s) == pytest.approx((270.0, 290.0), abs=4.0)


def test_a_fall_begun_before_first_crack_is_marked_is_told_once_it_is() -> None:
    truth = Faulty(at_s=490.0, limit_c=240.0)
    assert truth.bean_c(540.0) < 188.0, "else its temperature would tell that first crack is near"
    (fell_s, fall), *_ = live(truth, Probe(noise_sd_c=0.05))[1]
    assert fall.kind is FindingKind.SUDDEN_FALL
    assert fall.from_s < 500.0 < fell_s


@pytest.mark.parametrize("probe", [Probe(0.5, 0.1, 0.1), Probe(0.5), Probe(1.0, 0.2)])
def test_a_stall_is_found_while_it_lasts(probe: Probe) -> None:
    at_s = 350.0
    rate = 60.0 * GOOD.slope_c_per_s(at_s + 40.0)
    truth = Faulty(at_s=at_s, depth=rate, lasts_s=50.0)
    watch, found = live(truth, probe)
    [stalled_s] = [when_s for when_s, finding in found if finding.kind == "stall"]
    assert at_s + 30.0 < stalled_s < at_s + 65.0
    assert watch.stall is None
    after = only(shape_findings(finished(truth, probe)), FindingKind.STALL)
    assert after.from_s == pytest.approx(at_s + 13.0, abs=8.0)
    assert after.to_s == pytest.approx(at_s + 67.0, abs=8.0)
    lowest = 60.0 * GOOD.slope_c_per_s(at_s + 65.0) - rate
    assert after.size == pytest.approx(lowest, abs=1.5)


def test_what_goes_on_is_known_at_every_moment() -> None:
    watch, truth = ShapeWatch(), Faulty(edge_s=20.0)
    fell_s, rose_s = [], []
    for at_s, rate in rates(truth):
        watch.follow(at_s, truth.bean_c(at_s + truth.charge_s), rate, 0.05, ELAPSED)
        if watch.sudden_fall is not None:
            fell_s.append(at_s)
        if watch.rebound is not None:
            rose_s.append(at_s)
    assert 510.0 < fell_s[0] < 520.0 < fell_s[-1] < 540.0
    assert 525.0 < rose_s[0] < 540.0 < rose_s[-1]


@pytest.mark.parametrize("change", ["no turning point", "after drop", "beans falling"])
def test_nothing_is_judged_where_there_are_no_beans_to_judge(change: str) -> None:
    watch, truth = ShapeWatch(), Faulty()
    marks = {name: at_s for name, at_s in ELAPSED.items() if name != "turning_point"}
    if change != "no turning point":
        marks = {**ELAPSED, "drop": 490.0 if change == "after drop" else 620.0}
    for at_s, rate in rates(truth):
        if change == "beans falling":
            rate = min(rate, -30.0) if at_s > 490.0 else rate
        watch.follow(at_s, truth.bean_c(at_s + truth.charge_s), rate, 0.05, marks)
    assert watch.findings == []


def slow(at_s: float, rate: float) -> Estimate:
    return Estimate(at_s, 170.0, 0.1, rate, 0.3)


def test_what_was_not_seen_is_no_stall() -> None:
    watch = ShapeWatch()
    for at_s in (*range(300, 310), *range(370, 385)):
        watch.update(slow(at_s, 0.5), float(at_s), ELAPSED)
        assert watch.stall is None
    for at_s in range(385, 420):
        watch.update(slow(at_s, 0.5), float(at_s), ELAPSED)
    assert watch.stall is not None


def test_a_stall_that_stands_goes_on_through_a_silence() -> None:
    watch = ShapeWatch()
    for at_s in (*range(300, 340), 400):
        watch.update(slow(at_s, 0.5), float(at_s), ELAPSED)
    assert watch.stall is not None
    watch.update(slow(401, 8.0), 401.0, ELAPSED)
    assert watch.stall is None


def test_a_rate_from_before_a_silence_is_not_held_against_one_after_it() -> None:
    watch = ShapeWatch()
    for at_s in range(300, 520):
        if not 400 < at_s < 430:
            watch.update(slow(at_s, 3.0 if at_s <= 400 else 9.0), float(at_s), ELAPSED)
    assert watch.findings == []


def rates(truth: Truth) -> Iterator[tuple[float, float]]:
    """Elapsed seconds and the exact rate, °C/min, twice a second from the turning point on."""
    bean_c: Callable[[float], float] = truth.bean_c
    at_s = GOOD.turning_point_s
    while at_s < truth.drop_s - 1.0:
        now_s = at_s + truth.charge_s
        yield at_s, 60.0 * (bean_c(now_s + 0.25) - bean_c(now_s - 0.25)) / 0.5
        at_s += 0.5


def test_a_probe_that_was_stuck_or_open_is_no_stall() -> None:
    good = readings(GOOD, Probe())
    stuck = [stuck_at(reading, 300.0, 370.0, good) for reading in good]
    opened = [Reading(r.time_s, 0.0) if 300.0 < r.time_s < 320.0 else r for r in good]
    for items in (stuck, opened):
        told = shape_findings(FinishedRoast.from_readings("house", items, MARKS))
        assert [finding.kind for finding in told] == ["falling"]


def stuck_at(reading: Reading, from_s: float, to_s: float, good: list[Reading]) -> Reading:
    held = next(r for r in good if r.time_s >= from_s)
    return Reading(reading.time_s, held.bean_c) if from_s <= reading.time_s < to_s else reading


def test_a_coarse_probe_that_repeats_itself_in_a_real_stall_is_believed() -> None:
    rate = 60.0 * GOOD.slope_c_per_s(390.0)
    truth = Faulty(at_s=350.0, depth=rate, lasts_s=60.0)
    told = shape_findings(finished(truth, Probe(1.0, 0.0, 1.0)))
    assert only(told, FindingKind.STALL).lasted_s == pytest.approx(64.0, abs=25.0)


def test_a_finished_roast_knows_its_turning_point_and_charge_temperature() -> None:
    roast = finished(GOOD, Probe())
    assert roast.marks["turning_point"] == pytest.approx(GOOD.turning_point_s, abs=4.0)
    assert roast.charge_c == pytest.approx(GOOD.preheat_c, abs=0.3)
    assert roast.curve.time_s[0] >= 0.0 and roast.curve.time_s[-1] <= GOOD.drop_s
    assert finished(GOOD, Probe(), turning_point=95.0).marks["turning_point"] == 55.0


@pytest.mark.parametrize(
    ("marks", "reason"), [({}, "has no charge"), ({"charge": 700.0}, "less than a minute")]
)
def test_what_is_no_whole_roast_is_refused(marks: dict[str, float], reason: str) -> None:
    with pytest.raises(UsageError, match=f"house {reason}|house has {reason}"):
        FinishedRoast.from_readings("house", readings(GOOD, Probe()), marks)
