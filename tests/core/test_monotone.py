"""A smooth curve through rising points."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.monotone import Monotone
from tests.core.roasts import steady

steps = st.lists(st.tuples(st.floats(5.0, 300.0), st.floats(5.0, 300.0)), min_size=2, max_size=6)


@steady
@given(steps)
def test_it_meets_its_points_always_rises_and_has_no_kink(pairs: list[tuple[float, float]]) -> None:
    x, y = np.cumsum(np.array([(0.0, 0.0), *pairs]), axis=0).T
    curve = Monotone(x, y)
    assert curve.at(x)[0] == pytest.approx(y)
    fine = np.linspace(-20.0, x[-1] + 20.0, 4000)
    value, slope = curve.at(fine)
    assert np.all(np.diff(value) > 0.0)
    for knot in x:
        before, after = curve.at(np.array([knot - 1e-7, knot + 1e-7]))[1]
        assert after == pytest.approx(before, abs=1e-5)
    near = (curve.at(fine + 1e-4)[0] - curve.at(fine - 1e-4)[0]) / 2e-4
    assert np.abs(near - slope).max() < 0.01


def test_points_on_a_line_give_the_line() -> None:
    curve = Monotone(np.array([0.0, 40.0, 100.0]), np.array([0.0, 80.0, 200.0]))
    value, slope = curve.at(np.array([-5.0, 10.0, 60.0, 110.0]))
    assert value == pytest.approx([-10.0, 20.0, 120.0, 220.0])
    assert slope == pytest.approx([2.0] * 4)


def test_slopes_are_the_published_weighted_harmonic_means() -> None:
    # Fritsch and Butland 1984: at the middle point, with steps 1 and 2 and secants 1 and 4, the
    # weights are 2·2 + 1 = 5 and 2 + 2·1 = 4, and the slope is 9 / (5/1 + 4/4) = 1.5.
    curve = Monotone(np.array([0.0, 1.0, 3.0]), np.array([0.0, 1.0, 9.0]))
    assert curve.at(np.array([1.0]))[1] == pytest.approx([1.5])


def test_nothing_asked_is_nothing_told() -> None:
    curve = Monotone(np.array([0.0, 1.0]), np.array([0.0, 1.0]))
    assert len(curve.at(np.array([]))[0]) == 0
