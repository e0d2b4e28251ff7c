"""How freely a curve bends, found from the curve. Every truth is computed here."""

from __future__ import annotations

from math import erf, pi, sqrt

import numpy as np
import pytest

from roastside.core.freedom import JERKS, jerk_told, smoothest
from roastside.core.jerk import smooth

RANDOM = np.random.default_rng(6)
TIME_S = np.arange(0.0, 600.0, 2.0)
NOISE = RANDOM.normal(0.0, 0.1, len(TIME_S))
VARIANCE = np.full(len(TIME_S), 0.01)


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


def test_a_straight_line_is_held_stiffly() -> None:
    found = smoothest(TIME_S, 80.0 + 0.2 * TIME_S + NOISE, VARIANCE)
    inside = slice(20, -20)
    assert rms(60.0 * (found.slope[inside] - 0.2)) < 0.12


def test_it_beats_every_single_stiffness_where_a_curve_needs_several() -> None:
    """A plunge, a calm middle, and a dip of the slope: no one stiffness suits all three."""
    dip = np.exp(-0.5 * ((TIME_S - 450.0) / 12.0) ** 2)
    slope = 0.2 - 8.0 * np.exp(-TIME_S / 15.0) - 0.1 * dip
    dipped = np.array([1.0 + erf((at - 450.0) / (12.0 * sqrt(2.0))) for at in TIME_S])
    level = 80.0 + 0.2 * TIME_S + 120.0 * np.exp(-TIME_S / 15.0)
    level -= 0.1 * 12.0 * sqrt(pi / 2.0) * dipped
    found = smoothest(TIME_S, level + NOISE, VARIANCE)
    settled = TIME_S > 60.0
    error = rms((found.slope - slope)[settled])
    single = [
        rms((smooth(TIME_S, level + NOISE, VARIANCE, np.full(300, q)).slope - slope)[settled])
        for q in np.geomspace(1e-9, 1e-1, 17)
    ]
    assert error < 0.9 * min(single)


def test_where_the_series_lies_does_not_matter() -> None:
    value = 80.0 + 0.2 * TIME_S + 2.0 * np.sin(TIME_S / 40.0) + NOISE
    found = smoothest(TIME_S, value, VARIANCE)
    shifted = smoothest(TIME_S + 1000.0, value + 50.0, VARIANCE)
    assert shifted.level == pytest.approx(found.level + 50.0, abs=1e-6)
    assert shifted.slope == pytest.approx(found.slope, abs=1e-6)


def test_a_state_that_seemed_impossible_can_come_back() -> None:
    """A plunge far steeper than any probe's: what it rules out must be thinkable again later."""
    told = np.full((60, len(JERKS)), -2000.0)
    told[:20, 8] = told[20:40, 0] = told[40:, 8] = 0.0
    with np.errstate(all="raise", under="ignore"):
        jerk, likelihood = jerk_told(np.arange(60.0) / 8.0, told)
    assert np.isfinite(jerk).all() and np.isfinite(likelihood)
    assert jerk[30] < jerk[5] and jerk[30] < jerk[55]
