"""What counts as a temperature, and the words a roast file may use."""

from __future__ import annotations

from math import inf, nan

import pytest

from roastside.core.readings import ONCE_ONLY, plausible_c


# Contract 3: a cell below -50 or above 500 is a missing reading.
@pytest.mark.parametrize("value_c", [-50.0, -49.9, 0.0, 21.5, 499.9, 500.0])
def test_a_temperature_inside_the_contracts_limits_is_kept(value_c: float) -> None:
    assert plausible_c(value_c) == value_c


@pytest.mark.parametrize("value_c", [None, nan, inf, -inf, -50.01, 500.01, -273.15, 1e300])
def test_anything_else_is_a_missing_reading(value_c: float | None) -> None:
    assert plausible_c(value_c) is None


def test_once_only_marks_are_the_contracts_in_the_order_of_a_roast() -> None:
    assert ONCE_ONLY == (
        "charge",
        "turning_point",
        "yellowing",
        "first_crack",
        "first_crack_end",
        "second_crack",
        "drop",
    )
