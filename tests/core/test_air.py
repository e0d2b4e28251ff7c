"""What the air tells of the way ahead."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest

from roastside.core.air import AirProbe
from roastside.core.rate import RateFilter


def air_of(slope: float, seconds: float = 120.0, from_c: float = 220.0) -> AirProbe:
    air = AirProbe()
    for k in range(int(seconds * 2)):
        air.update(0.5 * k, from_c + slope * 0.5 * k)
    return air


def test_beans_bend_by_newtons_law_of_cooling() -> None:
    air = air_of(0.3)
    gap_c = 220.0 + 0.3 * 119.5 - 180.0
    _, gained = air.bends(180.0, 0.15, 0.5)
    assert gained == pytest.approx(0.15 / gap_c * (0.3 - 0.15) * 0.5, rel=0.02)


def test_an_unknown_or_cooler_air_bends_nothing() -> None:
    assert AirProbe().bends(180.0, 0.15, 0.5) == (0.0, 0.0)
    assert air_of(0.0, from_c=185.0).bends(180.0, 0.15, 0.5) == (0.0, 0.0)


def test_a_wild_reading_of_the_air_is_passed_over() -> None:
    air = air_of(0.0)
    calm = air.bends(180.0, 0.15, 0.5)
    air.update(120.0, 600.0)
    air.update(120.5, 220.0)
    assert air.bends(180.0, 0.15, 0.5) == pytest.approx(calm, rel=0.02)


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
