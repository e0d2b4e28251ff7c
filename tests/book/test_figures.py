"""The figures of a roast, from roasts whose figures are known."""

from __future__ import annotations

from collections.abc import Callable
from math import inf
from pathlib import Path

import numpy as np
import pytest

from roastside.book.figures import Figures, Target, figures
from roastside.book.recording import read_recording
from roastside.core.finished import FinishedRoast
from roastside.core.readings import Mark, Reading
from roastside.core.side_by_side import RoastFigures
from roastside.core.smooth import Curve
from roastside.core.stages import Marks
from roastside.record.reader import read_roast_file
from tests.book.homes import FIXTURES

CHARGE_S, TURN_S, DROP_S = 30.0, 60.0, 600.0
"""Stream seconds of charge; elapsed seconds of turning point and drop."""

ALL = {"charge": 0.0, "turning_point": TURN_S, "yellowing": 250.0, "first_crack": 480.0,
       "drop": DROP_S}  # fmt: skip


def curve_c(elapsed_s: Curve) -> Curve:
    """Falls by 2 °C/s from 200 °C to 80 °C at the turning point, then rises by 0.2 °C/s."""
    fell = 200.0 - 2.0 * np.clip(elapsed_s, 0.0, TURN_S)
    return fell + 0.2 * np.clip(elapsed_s - TURN_S, 0.0, DROP_S - TURN_S)


def marks_at(**elapsed_s: float) -> Marks:
    marks = Marks()
    for name, at_s in elapsed_s.items():
        marks.take(Mark(CHARGE_S + at_s, name))
    return marks


def told(
    marks: Marks | None = None,
    step_s: float = 0.5,
    spoil: Callable[[Curve, Curve], None] | None = None,
    target: Target | None = None,
) -> Figures:
    """The figures of the roast above; `spoil` changes its temperatures (elapsed s, °C)."""
    elapsed_s = np.arange(-CHARGE_S, DROP_S + 40.0, step_s)
    bean_c = curve_c(elapsed_s)
    # After the drop the probe hangs in air and cools.
    bean_c -= 1.5 * np.clip(elapsed_s - DROP_S, 0.0, inf)
    if spoil is not None:
        spoil(elapsed_s, bean_c)
    return figures(elapsed_s + CHARGE_S, bean_c, marks or marks_at(**ALL), target)


def target(above_c: float = 0.0, corridor_c: float = 2.0, end_s: float = DROP_S) -> Target:
    """The same curve, so much higher."""
    elapsed_s = np.arange(0.0, end_s + 0.1, 0.5)
    return Target(
        elapsed_s, curve_c(elapsed_s) + above_c, np.full(len(elapsed_s), corridor_c), TURN_S
    )


def test_a_whole_roast_is_told_whole() -> None:
    found = told(target=target(above_c=1.0))
    assert (found.total_s, found.turning_point_s, found.yellowing_s) == (600.0, 60.0, 250.0)
    assert (found.first_crack_s, found.development_s) == (480.0, 120.0)
    shares = (found.drying_share, found.browning_share, found.development_ratio)
    assert shares == pytest.approx((250 / 600, 230 / 600, 120 / 600))
    assert found.charge_c == 200.0
    assert found.yellowing_c == pytest.approx(80.0 + 0.2 * 190.0)
    assert found.first_crack_c == pytest.approx(80.0 + 0.2 * 420.0)
    assert found.drop_c == pytest.approx(188.0)
    assert found.worst_departure_c == pytest.approx(-1.0)
    assert (found.within_share, found.readings) == (1.0, 1340)


def test_without_a_charge_only_the_readings_are_counted() -> None:
    found = told(Marks())
    assert found == Figures(readings=1340)


def test_what_nobody_marked_is_found_in_the_readings() -> None:
    found = told(marks_at(charge=0.0, drop=DROP_S))
    assert found.turning_point_s == pytest.approx(TURN_S, abs=4.0)
    # 80 °C at 60 s, and 0.2 °C/s from there.
    assert found.yellowing_s == pytest.approx(60.0 + 70.0 / 0.2, abs=0.01)
    assert found.yellowing_c == pytest.approx(150.0)
    assert found.drying_share == pytest.approx(410.0 / 600.0, abs=1e-4)
    assert (found.browning_share, found.development_ratio, found.first_crack_s) == (None,) * 3


def test_what_a_person_withdrew_is_not_looked_for() -> None:
    marks = marks_at(charge=0.0, drop=DROP_S)
    marks.take(Mark(CHARGE_S + 700.0, "undo yellowing"))
    found = told(marks)
    assert (found.yellowing_s, found.yellowing_c, found.drying_share) == (None, None, None)


def test_a_roast_without_a_drop_has_no_end_and_no_departure() -> None:
    found = told(marks_at(charge=0.0, first_crack=480.0), target=target(5.0))
    assert found.first_crack_c == pytest.approx(164.0)
    nothing = (found.total_s, found.drop_c, found.development_s, found.worst_departure_c)
    assert nothing == (None, None, None, None)


def test_a_drop_before_the_charge_is_none() -> None:
    found = told(marks_at(charge=0.0, drop=-10.0))
    assert (found.total_s, found.drop_c) == (None, None)


@pytest.mark.parametrize("step_s", [0.1, 0.5, 1.0, 2.0, 5.0])
def test_temperatures_are_told_at_any_pace_of_readings(step_s: float) -> None:
    found = told(step_s=step_s, target=target(above_c=1.0))
    assert found.drop_c == pytest.approx(188.0, abs=0.05)
    assert found.first_crack_c == pytest.approx(164.0, abs=0.05)
    assert found.worst_departure_c == pytest.approx(-1.0, abs=0.05)


def test_spikes_leaps_and_a_stuck_probe_do_not_count() -> None:
    def spikes(elapsed_s: Curve, bean_c: Curve) -> None:
        bean_c[100::97] += 25.0
        bean_c[101::97] -= 12.0
        bean_c[(elapsed_s > 300.0) & (elapsed_s < 330.0)] = 0.0
        stuck = (elapsed_s > 400.0) & (elapsed_s < 440.0)
        bean_c[stuck] = bean_c[stuck][0]

    found = told(spoil=spikes, target=target())
    assert found.worst_departure_c == pytest.approx(0.0, abs=0.1)
    assert found.within_share == 1.0
    assert found.drop_c == pytest.approx(188.0, abs=0.05)


def test_noise_is_calmed() -> None:
    noise = np.random.default_rng(6)

    def noisy(elapsed_s: Curve, bean_c: Curve) -> None:
        bean_c += noise.normal(0.0, 0.5, len(bean_c))
        np.round(4.0 * bean_c, out=bean_c)
        bean_c /= 4.0

    found = told(spoil=noisy, target=target())
    # 17 readings make a mean: 0.5/√17 = 0.12 °C, and of 1,080 such means the worst is some four
    # standard deviations away; at the ends there are 9.
    assert found.worst_departure_c == pytest.approx(0.0, abs=0.75)
    assert found.within_share == 1.0


def test_the_worst_departure_bears_its_sign_and_the_share_is_of_time() -> None:
    def late_heat(elapsed_s: Curve, bean_c: Curve) -> None:
        bean_c[(elapsed_s >= 465.0) & (elapsed_s <= DROP_S)] += 2.8
        bean_c[(elapsed_s >= 60.0) & (elapsed_s < 195.0)] -= 2.2

    found = told(spoil=late_heat, target=target())
    assert found.worst_departure_c == pytest.approx(2.8, abs=0.01)
    assert found.within_share == pytest.approx(0.5, abs=0.02), "two quarters of it were outside"


def test_the_corridor_of_the_reference_counts() -> None:
    assert told(target=target(above_c=1.5, corridor_c=1.0)).within_share == 0.0
    assert told(target=target(above_c=1.5, corridor_c=3.0)).within_share == 1.0


def test_nothing_is_compared_beyond_the_end_of_the_reference() -> None:
    def late_heat(elapsed_s: Curve, bean_c: Curve) -> None:
        bean_c[elapsed_s > 510.0] += 20.0

    found = told(spoil=late_heat, target=target(end_s=500.0))
    assert found.worst_departure_c == pytest.approx(0.0, abs=0.01)
    nothing = told(target=target(end_s=50.0))
    assert (nothing.worst_departure_c, nothing.within_share) == (None, None)


def test_no_order_of_rows_and_no_second_reading_of_a_moment_matters() -> None:
    elapsed_s = np.arange(-CHARGE_S, DROP_S, 0.5)
    time_s = np.concatenate((elapsed_s, elapsed_s)) + CHARGE_S
    bean_c = np.concatenate((curve_c(elapsed_s), curve_c(elapsed_s)))
    mixed = np.random.default_rng(1).permutation(len(time_s))
    twice = figures(time_s, bean_c, marks_at(**ALL), target(1.0))
    assert figures(time_s[mixed], bean_c[mixed], marks_at(**ALL), target(1.0)) == twice
    assert twice.drop_c == pytest.approx(188.0, abs=0.1)


@pytest.mark.parametrize("count", range(7))
def test_a_few_readings_are_never_too_few(count: int) -> None:
    time_s = CHARGE_S + np.arange(count, dtype=np.float64)
    found = figures(time_s, 200.0 - time_s, marks_at(**ALL), target())
    assert found.readings == count
    assert found.drop_c is None


@pytest.mark.parametrize(
    "fixture",
    [path for path in sorted(FIXTURES.glob("*.csv")) if "fahrenheit" not in path.stem],
    ids=lambda path: path.stem,
)
def test_they_agree_with_the_smoothed_curve_of_the_roast(fixture: Path) -> None:
    file, found = read_roast_file(fixture), read_recording(fixture)
    quick = figures(found.time_s, found.bean_c, found.marks)
    readings = [item for item in file.items() if isinstance(item, Reading)]
    slow = RoastFigures.of(FinishedRoast.from_readings("", readings, file.marks()))
    assert quick.charge_c == slow.charge_c
    for name, at_s, bean_c in (
        ("turning_point", quick.turning_point_s, quick.turning_point_c),
        ("yellowing", quick.yellowing_s, quick.yellowing_c),
        ("first_crack", quick.first_crack_s, quick.first_crack_c),
        ("drop", quick.total_s, quick.drop_c),
    ):
        moment = slow.moments[name]
        assert at_s == pytest.approx(moment.at_s)
        # A probe of whole degrees tells no more than that, and one in air follows faster.
        coarse = "coarse" in fixture.stem or "swapped" in fixture.stem
        assert bean_c == pytest.approx(moment.bean_c, abs=0.6 if coarse else 0.4)
    assert quick.development_ratio == pytest.approx(slow.development_ratio)
