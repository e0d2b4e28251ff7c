"""Boiling water against published tables and another's library.

Sources: the printed steam tables at round pressures; International Standard Atmosphere (ISO
2533:1975); `iapws` (PyPI), which follows IAPWS-IF97, region 4: another equation than ours.
"""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from iapws.iapws97 import _PSat_T, _TSat_P

from roastside.core.boiling import (
    boiling_at_altitude,
    boiling_at_pressure,
    boiling_c,
    boiling_from_words,
    pressure_at_pa,
    vapour_pressure_pa,
)
from roastside.core.errors import UsageError

# kPa: °C. IAPWS-IF97 by `iapws` 1.5.5; the entries of a steam table.
STEAM_TABLE = {
    101.325: 99.974,
    100.0: 99.606,
    95.0: 98.178,
    90.0: 96.687,
    85.0: 95.125,
    80.0: 93.485,
    75.0: 91.758,
    70.0: 89.932,
}

# m: Pa, °C. ISO 2533:1975; IAPWS.
ALTITUDES = {
    0: (101325, 99.97),
    500: (95461, 98.31),
    1000: (89875, 96.65),
    1500: (84556, 94.98),
    2000: (79495, 93.32),
    2500: (74683, 91.64),
    3000: (70109, 89.97),
}


@pytest.mark.parametrize(("pressure_kpa", "table_c"), STEAM_TABLE.items())
def test_water_boils_where_the_steam_table_says(pressure_kpa: float, table_c: float) -> None:
    assert boiling_c(1000.0 * pressure_kpa) == pytest.approx(table_c, abs=0.002)


@pytest.mark.parametrize(
    ("water_k", "pressure_mpa"),
    # Wagner and Pruß 1993, table of check values; as repeated in the IAPWS release (from memory).
    [(273.16, 0.000611657), (373.1243, 0.101325), (647.096, 22.064)],
)
def test_the_equation_meets_its_fixed_points(water_k: float, pressure_mpa: float) -> None:
    assert vapour_pressure_pa(water_k - 273.15) == pytest.approx(1e6 * pressure_mpa, rel=1e-5)


@given(st.floats(min_value=0.05, max_value=0.11))
def test_it_agrees_with_the_industrial_formulation(pressure_mpa: float) -> None:
    assert boiling_c(1e6 * pressure_mpa) == pytest.approx(_TSat_P(pressure_mpa) - 273.15, abs=0.002)


@given(st.floats(min_value=1.0, max_value=350.0))
def test_vapour_pressure_agrees_with_the_industrial_formulation(water_c: float) -> None:
    theirs_pa = 1e6 * _PSat_T(water_c + 273.15)
    assert vapour_pressure_pa(water_c) == pytest.approx(theirs_pa, rel=3e-4)


@pytest.mark.parametrize(
    ("altitude_m", "pressure_pa", "table_c"), [(m, *v) for m, v in ALTITUDES.items()]
)
def test_height_gives_the_standard_pressure_and_its_boiling_point(
    altitude_m: float, pressure_pa: float, table_c: float
) -> None:
    assert pressure_at_pa(altitude_m) == pytest.approx(pressure_pa, abs=1.0)
    assert boiling_at_altitude(altitude_m).boiling_c == pytest.approx(table_c, abs=0.006)


@pytest.mark.parametrize("altitude_m", [0.0, 500.0, 2000.0, 4000.0])
def test_height_alone_is_said_to_be_doubtful_by_half_a_degree_or_more(altitude_m: float) -> None:
    from_height = boiling_at_altitude(altitude_m)
    assert from_height.doubt_c >= 0.5
    known = boiling_at_pressure(pressure_at_pa(altitude_m) / 100.0)
    assert known.boiling_c == pytest.approx(from_height.boiling_c)
    assert known.doubt_c < 0.2


@pytest.mark.parametrize(
    ("words", "boils_c", "said"),
    [
        ("520", 98.25, "520 m above the sea, whatever the weather"),
        ("1500 m", 94.98, "1500 m above the sea, whatever the weather"),
        ("-50 m", 100.14, "-50 m above the sea, whatever the weather"),
        ("950 hPa", 98.178, "air pressure 950 hPa"),
        (" 800,0 HPA ", 93.485, "air pressure 800 hPa"),
    ],
)
def test_height_or_pressure_is_understood_as_people_write_it(
    words: str, boils_c: float, said: str
) -> None:
    boiling = boiling_from_words(words)
    assert boiling.boiling_c == pytest.approx(boils_c, abs=0.01)
    assert boiling.known_from == said


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("", "520 m"),
        ("high up", "'high up' is neither"),
        ("nan", "no height"),
        ("9000 m", "no height"),
        ("29.92 hPa", "no pressure"),
        ("101.3 hPa", "no pressure"),
        ("inf hPa", "no pressure"),
        ("5 km", "neither"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(words: str, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        boiling_from_words(words)


@pytest.mark.parametrize("pressure_pa", [0.0, -1.0, 600.0, 2.3e7, math.nan])
def test_no_boiling_point_is_made_up(pressure_pa: float) -> None:
    with pytest.raises(ValueError, match="does not boil"):
        boiling_c(pressure_pa)


def test_there_is_no_vapour_pressure_below_the_triple_point() -> None:
    with pytest.raises(ValueError, match="no boiling pressure"):
        vapour_pressure_pa(-1.0)
