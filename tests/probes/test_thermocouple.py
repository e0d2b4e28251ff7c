"""Emf to temperature and back, against published tables and another's library.

Sources: NIST Standard Reference Database 60 (ITS-90 Thermocouple Database), which reproduces NIST
Monograph 175 (1993). `thermocouple-its90` (PyPI) is an independent implementation, which its author
checks against all 12,026 points that the database tabulates.
"""

from __future__ import annotations

import math

import pytest
import thermocouple_its90
from hypothesis import given
from hypothesis import strategies as st

from roastside.probes.thermocouple import (
    KINDS,
    Kind,
    compensated_c,
    emf_mv,
    temperature_c,
    tolerance_c,
)

# °C: emf in mV of K, J, T, E, N, the other junction at 0 °C. NIST SRD 60 by `thermocouple-its90`
# 1.0.2; rounded to three decimals these are the entries of the printed tables.
TABLE: dict[int, tuple[float, float, float, float, float]] = {
    0: (0.0, 0.0, 0.0, 0.0, 0.0),
    10: (0.3969, 0.5068, 0.3910, 0.5912, 0.2609),
    20: (0.7981, 1.0191, 0.7896, 1.1915, 0.5252),
    25: (1.0002, 1.2773, 0.9920, 1.4951, 0.6586),
    50: (2.0231, 2.5853, 2.0357, 3.0476, 1.3398),
    75: (3.0589, 3.9177, 3.1323, 4.6565, 2.0449),
    100: (4.0962, 5.2689, 4.2785, 6.3189, 2.7741),
    125: (5.1244, 6.6343, 5.4703, 8.0312, 3.5268),
    150: (6.1383, 8.0099, 6.7041, 9.7888, 4.3018),
    175: (7.1404, 9.3923, 7.9774, 11.5871, 5.0979),
    190: (7.7391, 10.2238, 8.7595, 12.6836, 5.5850),
    200: (8.1385, 10.7787, 9.2881, 13.4213, 5.9134),
    210: (8.5386, 11.3339, 9.8224, 14.1641, 6.2447),
    220: (8.9399, 11.8893, 10.3622, 14.9116, 6.5789),
    230: (9.3427, 12.4446, 10.9075, 15.6637, 6.9157),
    240: (9.7472, 13.0000, 11.4579, 16.4201, 7.2551),
    250: (10.1534, 13.5552, 12.0134, 17.1806, 7.5970),
    275: (11.1763, 14.9422, 13.4234, 19.0980, 8.4621),
    300: (12.2086, 16.3272, 14.8619, 21.0362, 9.3412),
}

# °C from and to which NIST SRD 60 defines each reference function.
SPANS: dict[Kind, tuple[int, int]] = {
    "K": (-270, 1372),
    "J": (-210, 1200),
    "T": (-270, 400),
    "E": (-270, 1000),
    "N": (-270, 1300),
}

TABULATED = [
    (kind, junction_c, mv)
    for junction_c, row in TABLE.items()
    for kind, mv in zip(("K", "J", "T", "E", "N"), row, strict=True)
]

kinds = pytest.mark.parametrize("kind", KINDS)


@pytest.mark.parametrize(("kind", "junction_c", "mv"), TABULATED)
def test_the_tables_are_reproduced_both_ways(kind: Kind, junction_c: float, mv: float) -> None:
    assert emf_mv(kind, junction_c) == pytest.approx(mv, abs=0.00006)
    # 0.00005 mV, the table's rounding, is 0.002 °C of the least sensitive type.
    assert temperature_c(kind, mv) == pytest.approx(junction_c, abs=0.002)


def test_type_k_has_its_exponential_term() -> None:
    """Without it the emf near 127 °C is 0.119 mV, or 2.9 °C, too small."""
    # NIST SRD 60, the printed table's 125 and 127 °C.
    assert emf_mv("K", 127.0) == pytest.approx(5.206, abs=0.0005)
    assert temperature_c("K", 5.124) == pytest.approx(125.0, abs=0.02)


@kinds
def test_an_independent_library_gives_the_same_emf(kind: Kind) -> None:
    theirs = thermocouple_its90.get(kind)
    low_c, high_c = SPANS[kind]
    roasting_c = [hundredth / 100 for hundredth in range(0, 30_001, 7)]
    for junction_c in [*roasting_c, *range(low_c, high_c + 1)]:
        assert emf_mv(kind, junction_c) == pytest.approx(theirs.emf(junction_c), abs=1e-9)


@kinds
def test_an_independent_library_gives_the_same_temperature(kind: Kind) -> None:
    theirs = thermocouple_its90.get(kind)
    low_c, high_c = SPANS[kind]
    for junction_c in range(max(low_c, -200), high_c, 3):
        mv = theirs.emf(junction_c)
        assert temperature_c(kind, mv) == pytest.approx(theirs.temperature(mv), abs=0.0005)


@kinds
def test_the_whole_function_is_inverted_to_a_thousandth_of_a_degree(kind: Kind) -> None:
    low_c, high_c = SPANS[kind]
    tenths = range(low_c * 10, high_c * 10 + 1)
    for junction_c in (tenth / 10 for tenth in tenths):
        mv = emf_mv(kind, junction_c)
        assert mv is not None
        assert temperature_c(kind, mv) == pytest.approx(junction_c, abs=0.001)


@kinds
def test_beyond_the_function_there_is_no_value(kind: Kind) -> None:
    low_c, high_c = SPANS[kind]
    low_mv, high_mv = emf_mv(kind, low_c), emf_mv(kind, high_c)
    assert low_mv is not None
    assert high_mv is not None
    for beyond_c in (low_c - 0.01, high_c + 0.01, math.nan, math.inf, -math.inf):
        assert emf_mv(kind, beyond_c) is None
        assert compensated_c(kind, 1.0, beyond_c) is None
    for beyond_mv in (low_mv - 0.001, high_mv + 0.001, math.nan, math.inf, -math.inf):
        assert temperature_c(kind, beyond_mv) is None
        assert compensated_c(kind, beyond_mv, 0.0) is None


def test_a_meter_at_25_degrees_that_reads_4_096_mv() -> None:
    """Worked example of the documentation of `thermocouple-its90`."""
    assert compensated_c("K", 4.096, 25.0) == pytest.approx(124.3, abs=0.05)
    assert temperature_c("K", 4.096) == pytest.approx(100.0, abs=0.05)  # the naive look-up


# Junction and terminals in °C, type, measured mV, and what adding the temperatures would give: by
# NIST SRD 60 through `thermocouple-its90` 1.0.2.
COLD_JUNCTIONS: list[tuple[float, float, Kind, float, float]] = [
    (200, 25, "K", 7.1382, 199.946),
    (200, 25, "J", 9.5015, 201.970),
    (200, 25, "T", 8.2961, 206.144),
    (200, 25, "E", 11.9262, 204.657),
    (200, 25, "N", 5.2548, 204.855),
    (210, 35, "K", 7.1314, 209.776),
    (100, 25, "K", 3.0960, 100.892),
]


@pytest.mark.parametrize(("junction_c", "terminals_c", "kind", "mv", "added_c"), COLD_JUNCTIONS)
def test_the_emf_of_the_terminals_is_added_and_not_their_temperature(
    junction_c: float, terminals_c: float, kind: Kind, mv: float, added_c: float
) -> None:
    right_c = compensated_c(kind, mv, terminals_c)
    looked_up_c = temperature_c(kind, mv)
    assert looked_up_c is not None
    assert right_c == pytest.approx(junction_c, abs=0.003)
    assert looked_up_c + terminals_c == pytest.approx(added_c, abs=0.003)
    assert right_c != pytest.approx(added_c, abs=0.04)


@given(st.sampled_from(KINDS), st.floats(0.0, 300.0), st.floats(-40.0, 125.0))
def test_any_terminals_at_any_temperature_are_compensated(
    kind: Kind, junction_c: float, terminals_c: float
) -> None:
    measured_mv = thermocouple_its90.get(kind).emf(junction_c, reference=terminals_c)
    assert compensated_c(kind, measured_mv, terminals_c) == pytest.approx(junction_c, abs=0.001)


# IEC 60584-1:2013 class 2, as quoted in a sensor maker's table of tolerances (the standard itself
# was not seen): T ±1.0 °C from -40 to 350 °C; the others ±2.5 °C, K and N from -40 to 1200 °C, J to
# 750 °C, E to 900 °C; or 0.75 % of the temperature, whichever is greater.
@pytest.mark.parametrize(
    ("kind", "junction_c", "tolerance"),
    [
        ("K", 0, 2.5),
        ("K", 200, 2.5),
        ("K", 333, 2.5),
        ("K", 400, 3.0),
        ("K", 1200, 9.0),
        ("J", 210, 2.5),
        ("J", 400, 3.0),
        ("J", 750, 5.625),
        ("T", 100, 1.0),
        ("T", 133, 1.0),
        ("T", 200, 1.5),
        ("T", -40, 1.0),
        ("E", 333, 2.5),
        ("E", 900, 6.75),
        ("N", -40, 2.5),
        ("N", 400, 3.0),
        ("K", 1201, None),
        ("J", 751, None),
        ("T", 351, None),
        ("E", 901, None),
        ("N", -41, None),
        ("K", math.nan, None),
    ],
)
def test_the_tolerance_of_class_2(kind: Kind, junction_c: float, tolerance: float | None) -> None:
    assert tolerance_c(kind, junction_c) == (
        None if tolerance is None else pytest.approx(tolerance)
    )
