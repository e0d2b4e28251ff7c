"""Learning how noisy a probe is."""

from __future__ import annotations

from random import Random

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


def test_a_reading_rounded_to_a_step_has_at_least_the_variance_of_rounding() -> None:
    staircase = [round(100.0 + 0.083 * k) * 1.0 for k in range(600)]
    # A rounding error is uniform over one step: variance step²/12, computed here.
    assert learned(staircase).variance >= 1.0 / 12.0


def test_a_value_repeated_to_the_letter_counts_less_each_time() -> None:
    meter = learned([100.0, 101.0, 100.0, 101.0])
    variances = []
    for k in range(4):
        meter.update(2.0 + 0.5 * k, 101.0)
        variances.append(meter.variance)
    assert variances == sorted(variances)
    assert variances[-1] > 2.0 * variances[0]
    meter.update(4.0, 102.0)
    assert meter.variance < variances[0]


def test_two_readings_of_one_instant_are_no_trouble() -> None:
    meter = NoiseMeter()
    for value in (100.0, 100.5, 101.0, 100.0):
        meter.update(3.0, value)
    assert meter.sd_c == pytest.approx(0.3)
