"""A probe in a bath: taken when it is steady and not before, whatever else it does."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from math import exp

import pytest

from roastside.probes.bath import Bath, BathState, far_off

Curve = Callable[[float], float]


def times(end_s: float, every_s: float = 0.5) -> list[float]:
    return [every_s * count for count in range(int(end_s / every_s) + 1)]


def state_after(curve: Curve, truth_c: float, at: Iterable[float]) -> Bath:
    bath = Bath(truth_c)
    for time_s in at:
        bath.update(time_s, curve(time_s))
    return bath


def steady_from(curve: Curve, truth_c: float, at: Iterable[float]) -> tuple[float, Bath]:
    """When it was steady, and the bath then."""
    bath = Bath(truth_c)
    for time_s in at:
        if bath.update(time_s, curve(time_s)).state is BathState.STEADY:
            return time_s, bath
    raise AssertionError(f"never steady: {bath.settling}")


def rippling(time_s: float) -> float:
    """Boiling water: half a degree up and down, with a step of a quarter as an adapter has."""
    return 98.0 + round(2.0 * ((7.0 * time_s) % 3.0 - 1.5) / 3.0) / 4.0


def test_a_steady_probe_is_taken_after_thirty_seconds() -> None:
    at_s, bath = steady_from(lambda _: 0.4, 0.0, times(60.0))
    assert at_s == 30.0
    point = bath.point()
    assert point is not None
    assert (point.reading_c, point.truth_c, point.error_c) == (0.4, 0.0, 0.4)
    assert bath.settling.count == 31
    assert bath.settling.spread_c == 0.0


@pytest.mark.parametrize("constant_s", [3.0, 8.0, 15.0])
def test_a_probe_that_creeps_up_is_waited_for(constant_s: float) -> None:
    def warming(time_s: float) -> float:
        return 98.3 - 78.3 * exp(-time_s / constant_s)

    at_s, bath = steady_from(warming, 98.3, times(300.0))
    assert at_s > 30.0
    point = bath.point()
    assert point is not None
    assert point.error_c == pytest.approx(0.0, abs=0.1)


def test_the_ripple_of_boiling_water_is_no_drift() -> None:
    _, bath = steady_from(rippling, 98.3, times(120.0))
    assert bath.settling.mean_c == pytest.approx(98.0, abs=0.1)
    assert bath.settling.spread_c is not None
    assert 0.1 < bath.settling.spread_c < 0.4


def test_spikes_neither_hold_it_up_nor_count() -> None:
    def spiky(time_s: float) -> float:
        return 400.0 if time_s % 7.0 == 0.0 else rippling(time_s)

    _, bath = steady_from(spiky, 98.3, times(120.0))
    assert bath.settling.mean_c == pytest.approx(98.0, abs=0.1)


def test_a_probe_that_jumps_about_is_never_steady() -> None:
    bath = state_after(lambda s: 98.0 + (4.0 if int(2.0 * s) % 2 else 0.0), 98.3, times(120.0))
    assert bath.settling.state is BathState.MOVING
    assert bath.point() is None


def test_a_slow_drift_is_seen() -> None:
    bath = state_after(lambda s: 2.0 + s / 60.0, 0.0, times(60.0))
    assert bath.settling.state is BathState.MOVING
    assert bath.settling.moved_c == pytest.approx(0.25, abs=0.02)


def test_a_few_readings_are_not_enough() -> None:
    assert state_after(lambda _: 0.4, 0.0, times(40.0, 5.0)).settling.state is BathState.GATHERING


def test_a_gap_begins_it_anew() -> None:
    before_gap = times(29.0)
    after_gap = [40.0 + time_s for time_s in times(29.5)]
    bath = state_after(lambda _: 0.4, 0.0, before_gap + after_gap)
    assert bath.settling.state is BathState.GATHERING
    assert bath.settling.progress == pytest.approx(29.5 / 30.0)
    assert bath.update(70.0, 0.4).state is BathState.STEADY


def test_the_other_bath_is_too_far_off_to_be_a_probes_error() -> None:
    bath = state_after(lambda _: 0.4, 98.3, times(40.0))
    assert bath.settling.state is BathState.FAR
    assert bath.point() is None
    moved = state_after(lambda s: 0.4 if s < 40.0 else 98.0, 98.3, times(90.0))
    assert moved.settling.state is BathState.STEADY


@pytest.mark.parametrize(("off_c", "state"), [(14.9, BathState.STEADY), (15.1, BathState.FAR)])
def test_fifteen_degrees_are_the_limit(off_c: float, state: BathState) -> None:
    assert state_after(lambda _: 98.3 + off_c, 98.3, times(40.0)).settling.state is state


@pytest.mark.parametrize(
    ("mean_c", "truth_c", "says"),
    [
        (32.4, 0.0, "unit=F"),
        (208.0, 98.3, "unit=F"),
        (273.5, 0.0, "unit=K"),
        (371.0, 98.3, "unit=K"),
        (0.4, 98.3, "not in that bath"),
        (21.0, 0.0, "not in that bath"),
    ],
)
def test_the_likely_mistake_is_named(mean_c: float, truth_c: float, says: str) -> None:
    sentence = far_off(mean_c, truth_c)
    assert says in sentence
    assert f"{mean_c:.1f} °C where {truth_c:.1f} °C is right" in sentence
