"""A normal cut to an interval, against numerical integration."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.rounded import within


@pytest.mark.parametrize(
    ("low", "high"), [(-1.0, 1.0), (0.0, 3.0), (-4.0, -2.0), (1.5, 1.7), (-0.1, 5.0)]
)
def test_mean_variance_and_mass_are_those_of_the_integral(low: float, high: float) -> None:
    x = np.linspace(low, high, 200_001)
    density = np.exp(-0.5 * x * x) / np.sqrt(2.0 * np.pi)
    mass = np.trapezoid(density, x)
    mean = np.trapezoid(x * density, x) / mass
    variance = np.trapezoid((x - mean) ** 2 * density, x) / mass
    assert within(low, high) == pytest.approx((mean, variance, mass), rel=1e-4, abs=1e-6)


@pytest.mark.parametrize(("low", "high"), [(40.0, 41.0), (-41.0, -40.0)])
def test_far_out_the_nearer_edge_stands_for_the_mean(low: float, high: float) -> None:
    mean, variance, mass = within(low, high)
    assert abs(mean) == 40.0
    assert variance > 0.0
    assert mass > 0.0
