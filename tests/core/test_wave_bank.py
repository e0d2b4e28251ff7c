"""The models of a slow wave: what is left out of their sums of squares is nought."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.wave_bank import STEP_S, bank


@pytest.mark.parametrize("count", [30, 31, 60])
def test_contrasts_are_orthonormal_and_blind_to_parabolas(count: int) -> None:
    models = bank(count)
    contrasts = models.contrasts
    assert contrasts.shape == (count, count - 3)
    assert contrasts.T @ contrasts == pytest.approx(np.eye(count - 3), abs=1e-12)
    at_s = STEP_S * np.arange(count)
    assert contrasts.T @ (200.0 + 0.2 * at_s - 1e-4 * at_s**2) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("count", [30, 31])
def test_the_sums_of_squares_are_those_of_all_products(count: int) -> None:
    """Of a model whose covariance is known: plain white errors and a roast that hardly jerks.

    The covariance of a level with a white third derivative is the integral of the products of its
    answers to it: here a sum over small steps, and not the polynomial of the module.
    """
    models = bank(count)
    at_s = STEP_S * np.arange(count)
    step_s = 0.01
    moments_s = np.arange(0.0, at_s[-1], step_s) + 0.5 * step_s
    # The jerk drives the acceleration, so the level answers it by half the square of the time.
    answers = np.maximum(at_s[:, None] - moments_s, 0.0) ** 2 / 2.0
    seen = models.contrasts.T
    covariance = np.eye(count - 3) + 1e-7 * seen @ (step_s * answers @ answers.T) @ seen.T
    level_c = np.random.default_rng(1).normal(200.0, 1.0, count)
    contrasts = level_c @ models.contrasts
    one, other = models.pairs
    told = models.squares[0] @ (contrasts[one] * contrasts[other])
    assert told == pytest.approx(contrasts @ np.linalg.solve(covariance, contrasts), rel=1e-6)
    assert len(one) < 0.55 * (count - 3) * (count - 2) / 2


def test_seven_digits_are_enough_for_a_probe_that_hardly_errs() -> None:
    """A roast that swings by degrees, read to a hundredth: large contrasts that weigh little."""
    count = 60
    models = bank(count)
    at_s = STEP_S * np.arange(count)
    first, apart = np.minimum(at_s[:, None], at_s), np.abs(at_s[:, None] - at_s)
    jerked = first**5 / 20.0 + apart * first**4 / 8.0 + apart**2 * first**3 / 12.0
    noise_c = np.random.default_rng(2).normal(0.0, 0.01, count)
    contrasts = (200.0 + 6.0 * np.sin(at_s / 25.0) + noise_c) @ models.contrasts
    one, other = models.pairs
    told = models.squares @ (contrasts[one] * contrasts[other]).astype(np.float32)
    for model, jerk in enumerate((1e-7, 2e-6, 4e-5, 8e-4, 1.6e-2)):
        seen = models.contrasts.T @ jerked @ models.contrasts
        whole = contrasts @ np.linalg.solve(np.eye(count - 3) + jerk * seen, contrasts)
        assert told[model] == pytest.approx(whole, rel=1e-4)
