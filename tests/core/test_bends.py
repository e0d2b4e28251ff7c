"""Shapes that bend a curve in one place and leave it alone elsewhere."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.bends import (
    START_STRONGEST,
    Bend,
    Shape,
    approach,
    departure,
    early,
    plateau,
    plateau_from_the_beginning,
    plateau_to_the_end,
    warp,
)

U = np.linspace(0.0, 1.0, 4001)
ALL = (plateau, plateau_to_the_end, plateau_from_the_beginning, early, approach, departure)
ONE_SIDED = {plateau_to_the_end: 1, plateau_from_the_beginning: 0, approach: 1, departure: 0}


@pytest.mark.parametrize("shape", ALL)
def test_the_integral_is_that_of_the_strength(shape: Shape) -> None:
    strength, integral = shape(U)
    summed = np.concatenate(([0.0], np.cumsum((strength[1:] + strength[:-1]) / 2.0 * np.diff(U))))
    assert integral == pytest.approx(summed, abs=1e-6)


@pytest.mark.parametrize("shape", ALL)
def test_strength_and_its_slope_are_nought_where_the_curve_goes_on(shape: Shape) -> None:
    strength, _ = shape(U)
    slope = np.gradient(strength, U)
    for end in (0, 1):
        if ONE_SIDED.get(shape) != end:
            assert strength[-end] == pytest.approx(0.0, abs=1e-9)
            assert slope[-end] == pytest.approx(0.0, abs=0.02)


@pytest.mark.parametrize("shape", [early, approach, departure])
def test_what_is_made_up_for_leaves_nothing_on_the_whole(shape: Shape) -> None:
    assert shape(U)[1][-1] == pytest.approx(0.0, abs=1e-12)


def test_a_start_is_strongest_in_the_first_half_and_made_up_for_in_the_second() -> None:
    strength, _ = early(U)
    assert strength[np.argmax(strength)] == pytest.approx(1.0, abs=1e-6)
    assert U[np.argmax(strength)] == pytest.approx(START_STRONGEST, abs=1e-3)
    assert np.all(strength[U < 0.5] >= 0.0)
    assert strength == pytest.approx(-strength[::-1], abs=1e-9)


def test_a_warp_moves_what_follows_and_nothing_before() -> None:
    whole = Bend(100.0, 200.0, plateau)
    bend = Bend(100.0, 200.0, plateau, 20.0 / whole.lasting_s)
    moved, stretch = warp([bend], np.array([0.0, 100.0, 150.0, 200.0, 300.0]))
    assert moved == pytest.approx([0.0, 100.0, 160.0, 220.0, 320.0])
    assert stretch == pytest.approx([1.0, 1.0, 1.0 + 20.0 / 75.0, 1.0, 1.0])
