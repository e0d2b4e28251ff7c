"""What the air tells of the way ahead."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from roastside.core.air import AirProbe, nearing
from roastside.core.rate import RateFilter


def air_of(slope: float, seconds: float = 120.0, from_c: float = 220.0) -> AirProbe:
    air = AirProbe()
    for k in range(int(seconds * 2)):
        air.update(0.5 * k, from_c + slope * 0.5 * k)
    return air


def test_beans_bend_by_newtons_law_of_cooling() -> None:
    air = air_of(0.3)
    gap_c = 220.0 + 0.3 * 119.5 - 180.0
    _, gained = air.bends(120.0, 180.0, 0.15, 0.5)
    assert gained == pytest.approx(0.15 / gap_c * (0.3 - 0.15) * 0.5, rel=0.02)


def test_unseen_or_cooler_air_is_taken_to_be_where_it_ends() -> None:
    """260 °C, some 40 °C above the beans: common practice, no source."""
    _, gained = AirProbe().bends(0.0, 180.0, 0.16, 0.5)
    assert gained == pytest.approx(-0.16 / (260.0 - 180.0) * 0.16 * 0.5)
    assert air_of(0.0, from_c=185.0).bends(120.0, 180.0, 0.16, 0.5)[1] == pytest.approx(gained)


def test_air_that_fell_silent_is_unseen_again() -> None:
    air, unseen = air_of(0.3), AirProbe().bends(0.0, 180.0, 0.16, 0.5)
    assert air.bends(130.0, 180.0, 0.16, 0.5)[1] > 0.0
    assert air.bends(141.0, 180.0, 0.16, 0.5) == unseen


def test_beans_that_do_not_rise_are_not_slowed_down() -> None:
    assert AirProbe().bends(0.0, 180.0, 0.0, 0.5) == (0.0, 0.0)
    assert AirProbe().bends(0.0, 120.0, -0.5, 0.5) == (0.0, 0.0)
    assert nearing(120.0, -0.5, 60.0) == (-30.0, 60.0)
    assert nearing(120.0, 0.0, 60.0) == (0.0, 60.0)


def test_beans_near_unseen_air_as_newtons_law_of_cooling_has_it() -> None:
    """The gap shrinks by exp(-k t): Newton's law of cooling, solved."""
    gained, of_slope = nearing(160.0, 0.25, 120.0)
    k = 0.25 / (260.0 - 160.0)
    assert gained == pytest.approx(100.0 * (1.0 - exp(-k * 120.0)))
    assert of_slope == pytest.approx((1.0 - exp(-k * 120.0)) / k)


def test_beans_hotter_than_air_may_be_still_rise() -> None:
    gained, _ = nearing(300.0, 0.1, 30.0)
    assert 2.0 < gained < 3.0


def test_a_quick_roast_without_an_air_probe_is_not_followed_late() -> None:
    """Beans of time constant 180 s nearing 245 °C: their rate falls by some 10 °C/min a minute."""
    off = []
    for seed in range(10):
        rng = np.random.default_rng(seed)
        one, dt = RateFilter(0.0), 0.5
        for k in range(700):
            at_s = 60.0 + dt * k
            bean_c = 245.0 - 165.0 * exp(-(at_s - 60.0) / 180.0)
            found = one.update(at_s, round((bean_c + rng.normal(0.0, 0.25)) * 4.0) / 4.0)
            if found is not None and 60.0 < at_s - 60.0 < 180.0:
                off.append(found.rate_c_per_min - 60.0 * (245.0 - bean_c) / 180.0)
    # Taken to go straight on its rate was told 0.5 °C/min too high.
    assert abs(np.mean(off)) < 0.3


def test_a_wild_reading_of_the_air_is_passed_over() -> None:
    air = air_of(0.0)
    calm = air.bends(120.0, 180.0, 0.15, 0.5)
    air.update(120.0, 600.0)
    air.update(120.5, 220.0)
    assert air.bends(120.0, 180.0, 0.15, 0.5) == pytest.approx(calm, rel=0.02)


def test_a_turn_of_the_heat_is_seen_sooner_with_the_air() -> None:
    """Beans of time constant 250 s in air that climbs by 25 °C within a quarter of a minute."""
    late: dict[bool, list[float]] = {True: [], False: []}
    for seed in range(10):
        rng = np.random.default_rng(seed)
        filters = {True: RateFilter(0.0), False: RateFilter(0.0)}
        bean_c, dt = 90.0, 0.5
        for k in range(700):
            at_s = 60.0 + dt * k
            turned_s = max(at_s - 350.0, 0.0)
            air_c = 230.0 + 25.0 * (1.0 - exp(-turned_s / 15.0))
            slope = (air_c - bean_c) / 250.0
            bean_c += slope * dt
            seen_c = bean_c + float(rng.normal(0.0, 0.2))
            seen_air_c = air_c + float(rng.normal(0.0, 0.5))
            for with_air, one in filters.items():
                found = one.update(at_s, seen_c, seen_air_c if with_air else None)
                if found is not None and 5.0 < turned_s < 60.0:
                    late[with_air].append(found.rate_c_per_min - 60.0 * slope)
    with_it, without = (np.sqrt(np.mean(np.square(late[k]))) for k in (True, False))
    assert with_it < 0.75 * without
