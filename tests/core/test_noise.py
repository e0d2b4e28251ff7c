"""Learning how noisy a probe is."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest

from roastside.core.noise import NoiseMeter


def learned(values: list[float], spacing_s: float = 0.5) -> NoiseMeter:
    meter = NoiseMeter()
    for k, value in enumerate(values):
        meter.update(k * spacing_s, value)
    return meter


@pytest.mark.parametrize("sd_c", [0.1, 0.25, 0.5, 1.0, 2.0])
def test_it_learns_the_deviation_of_white_noise_on_a_slope(sd_c: float) -> None:
    random = Random(4)
    values = [100.0 + 0.1 * k + random.gauss(0.0, sd_c) for k in range(1200)]
    # It forgets over 100 readings, so the figure itself wanders by about a tenth.
    assert learned(values).sd_c == pytest.approx(sd_c, rel=0.25)


def test_it_learns_at_uneven_spacing_too() -> None:
    random = Random(5)
    meter, at_s = NoiseMeter(), 0.0
    for _ in range(1200):
        at_s += random.uniform(0.05, 2.0)
        meter.update(at_s, 100.0 + 0.2 * at_s + random.gauss(0.0, 0.4))
    assert meter.sd_c == pytest.approx(0.4, rel=0.25)


def test_spikes_do_not_count() -> None:
    random = Random(6)
    values = [100.0 + 0.1 * k + random.gauss(0.0, 0.25) for k in range(1200)]
    calm = learned(values).sd_c
    for k in range(50, 1200, 100):
        values[k] += 80.0
    # Each spike is clipped at four deviations in each of the three residuals it takes part in.
    assert learned(values).sd_c < 1.5 * calm


def test_without_noise_it_never_claims_to_be_perfect() -> None:
    assert learned([100.0 + 0.1 * k for k in range(600)]).sd_c == 0.05


@pytest.mark.parametrize("slope", [0.02, 0.083, 0.5])
def test_the_scatter_of_a_staircase_is_that_of_rounding(slope: float) -> None:
    staircase = [float(round(100.0 + slope * 0.5 * k)) for k in range(4000)]
    meter = learned(staircase)
    assert meter.step_c == 1.0
    found = np.mean([_scatter(staircase[:n]) for n in range(1000, 4000, 37)])
    assert meter.rounding(slope) == pytest.approx(found, rel=0.2)


def _scatter(values: list[float]) -> float:
    return learned(values[-400:]).variance


def test_a_step_is_a_jump_that_is_seen_again_and_again() -> None:
    random = Random(3)
    rounded = [round((100.0 + random.gauss(0.0, 0.4)) * 4) / 4 for _ in range(300)]
    rounded[150] += 7.123  # a spike, which owes nothing to the steps
    assert learned(rounded).step_c == 0.25
    assert learned([100.0 + random.gauss(0.0, 0.4) for _ in range(300)]).step_c is None


def test_one_or_two_wild_readings_do_not_count() -> None:
    random = Random(4)
    values = [100.0 + random.gauss(0.0, 0.2) for _ in range(400)]
    calm = learned(values).variance
    for k in range(100, 400, 40):
        values[k] = values[k + 1] = 300.0
    assert learned(values).variance == pytest.approx(calm, rel=0.25)


def test_two_readings_of_one_instant_are_no_trouble() -> None:
    meter = NoiseMeter()
    for value in (100.0, 100.5, 101.0, 100.0):
        meter.update(3.0, value)
    assert meter.sd_c == pytest.approx(0.3)
