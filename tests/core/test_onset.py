"""The beginning of plunges that are integrated here in small steps, probe by probe."""

from __future__ import annotations

from itertools import pairwise
from random import Random

import pytest

from roastside.core.onset import Depth, Plunge, onset_s, plunge_of

CHARGE = Depth(0.8, 0.2)
CHARGE_S = 25.0
LEVEL_C, BEANS_C = 200.0, 60.0
_STEP_S = 0.01

Point = tuple[float, float]


def plunge(lags_s: tuple[float, ...], falls_c: float, drift_c_per_s: float = 0.0) -> list[Point]:
    """A probe of lags in series, beans all at once at CHARGE_S, until it has fallen so far."""
    masses_c = [LEVEL_C] * len(lags_s)
    points = [(0.0, LEVEL_C)]
    while masses_c[-1] > LEVEL_C - falls_c:
        at_s = points[-1][0] + _STEP_S
        around_c = LEVEL_C if at_s < CHARGE_S else BEANS_C
        for k, lag_s in enumerate(lags_s):
            masses_c[k] += (around_c - masses_c[k]) * _STEP_S / lag_s
            around_c = masses_c[k]
        points.append((at_s, masses_c[-1] + drift_c_per_s * (at_s - CHARGE_S)))
    return points


def seen(
    points: list[Point], interval_s: float, noise_sd_c: float = 0.0, step_c: float = 0.0
) -> list[Point]:
    """What an adapter makes of it."""
    random, every = Random(5), round(interval_s / _STEP_S)
    noisy = [(at, value + random.gauss(0.0, noise_sd_c)) for at, value in points[::every]]
    return [(at, round(value / step_c) * step_c if step_c else value) for at, value in noisy]


def shows_s(points: list[Point], by_c: float = 0.75) -> float:
    """The last moment before the fall shows: so a person would date it."""
    return next(at for (at, _), (_, value) in pairwise(points) if value < LEVEL_C - by_c)


@pytest.mark.parametrize("lags_s", [(12.0,), (25.0,), (12.0, 3.0), (24.0, 6.0), (24.0, 6.0, 9.0)])
@pytest.mark.parametrize("falls_c", [11.0, 30.0])
def test_a_plunge_is_dated_to_its_cause_whatever_the_probe(
    lags_s: tuple[float, ...], falls_c: float
) -> None:
    points = seen(plunge(lags_s, falls_c), 0.5, 0.1, 0.25)
    assert onset_s(points, shows_s(points), CHARGE) == pytest.approx(CHARGE_S, abs=0.7)


def test_a_thick_probe_shows_nothing_for_seconds_and_is_dated_all_the_same() -> None:
    points = seen(plunge((24.0, 6.0, 9.0), 12.0), 0.25)
    assert shows_s(points) > CHARGE_S + 3.0
    assert onset_s(points, shows_s(points), CHARGE) == pytest.approx(CHARGE_S, abs=0.5)


@pytest.mark.parametrize("drift_c_per_s", [-0.08, 0.08])
def test_a_level_that_drifts_is_no_plunge(drift_c_per_s: float) -> None:
    points = seen(plunge((12.0, 3.0), 15.0, drift_c_per_s), 0.5, 0.1, 0.25)
    knee_s = CHARGE_S + 1.5
    assert onset_s(points, knee_s, CHARGE) == pytest.approx(CHARGE_S, abs=0.7)


@pytest.mark.parametrize(
    ("interval_s", "noise_sd_c", "step_c"), [(2.0, 0.3, 1.0), (1.0, 0.0, 1.0), (0.1, 0.4, 0.0)]
)
def test_a_poor_adapter_costs_a_second_or_its_spacing(
    interval_s: float, noise_sd_c: float, step_c: float
) -> None:
    points = seen(plunge((15.0, 3.0), 20.0), interval_s, noise_sd_c, step_c)
    found_s = onset_s(points, shows_s(points, 1.5), CHARGE)
    assert found_s == pytest.approx(CHARGE_S, abs=max(1.0, interval_s))


def test_how_deep_it_will_fall_may_be_known_roughly() -> None:
    points = seen(plunge((12.0, 3.0), 15.0), 0.5, 0.1, 0.25)
    for depth in (Depth(0.5, 0.3), Depth(0.9, 0.1)):
        assert onset_s(points, shows_s(points), depth) == pytest.approx(CHARGE_S, abs=0.7)


def test_without_a_level_before_it_the_fall_begins_where_it_shows() -> None:
    points = [point for point in seen(plunge((24.0, 6.0), 15.0), 0.5) if point[0] >= CHARGE_S]
    assert onset_s(points, shows_s(points), CHARGE) == shows_s(points)


def test_nothing_is_dated_before_the_first_point() -> None:
    points = [(at, value) for at, value in seen(plunge((24.0, 6.0), 15.0), 0.5) if at > 19.0]
    late_s = points[-1][0]
    assert onset_s(points, late_s, CHARGE) >= points[0][0]


def like(lags_s: tuple[float, ...]) -> Plunge:
    """How a probe of these lags fell in a reference, by its curve on a grid of half a second."""
    curve = [value for at, value in plunge(lags_s, 100.0)[::50] if at >= CHARGE_S]
    found = plunge_of(curve, 0.5)
    assert found is not None
    return found


@pytest.mark.parametrize("lags_s", [(12.0,), (25.0, 3.0), (24.0, 6.0, 9.0)])
@pytest.mark.parametrize("interval_s", [0.25, 1.0, 2.0])
def test_a_plunge_like_the_references_is_laid_on_it(
    lags_s: tuple[float, ...], interval_s: float
) -> None:
    points = seen(plunge(lags_s, 25.0), interval_s, 0.5, 0.5)
    found = onset_s(points, shows_s(points, 2.0), CHARGE, like(lags_s))
    assert found == pytest.approx(CHARGE_S, abs=0.35)


def test_without_the_reference_such_noise_leaves_seconds_of_doubt() -> None:
    points = seen(plunge((24.0, 6.0, 9.0), 25.0), 2.0, 0.5, 0.5)
    assert abs(onset_s(points, shows_s(points, 2.0), CHARGE) - CHARGE_S) > 0.5


@pytest.mark.parametrize("other_s", [(12.0,), (45.0, 12.0, 9.0)])
def test_the_plunge_of_another_probe_does_not_mislead(other_s: tuple[float, ...]) -> None:
    points = seen(plunge((24.0, 6.0), 30.0), 0.5, 0.1, 0.25)
    assert onset_s(points, shows_s(points), CHARGE, like(other_s)) == pytest.approx(
        CHARGE_S, abs=0.7
    )


def test_a_curve_that_does_not_begin_with_a_plunge_tells_of_none() -> None:
    assert plunge_of([200.0] * 100, 0.5) is None
    assert plunge_of([60.0 - k for k in range(100)], 0.5) is None
