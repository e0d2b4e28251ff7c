"""Telling errors that wander from errors that come one by one."""

from __future__ import annotations

from math import pi, sin
from random import Random

import pytest

from roastside.core.colour import Colour


def factor(errors: list[float], interval_s: float, variance: float) -> float:
    colour = Colour()
    for k, error in enumerate(errors):
        at_s = k * interval_s
        # A roast that bends as after the turning point: the rate falls from 20 to 4 °C/min.
        colour.update(at_s, 100.0 + 0.33 * at_s - 2.2e-4 * at_s * at_s + error, variance)
    return colour.factor


@pytest.mark.parametrize("interval_s", [0.1, 0.25, 0.5, 1.0, 2.0])
def test_white_errors_count_as_they_are(interval_s: float) -> None:
    found = []
    for seed in range(8):
        random = Random(seed)
        errors = [random.gauss(0.0, 0.25) for _ in range(int(400.0 / interval_s))]
        found.append(factor(errors, interval_s, 0.0625))
    assert min(found) >= 1.0
    assert sum(found) / len(found) < 1.7


@pytest.mark.parametrize("interval_s", [0.1, 0.5])
def test_errors_that_last_a_second_count_for_what_they_are(interval_s: float) -> None:
    kept = 2.718281828 ** (-interval_s)
    random, error, errors = Random(3), 0.0, []
    for _ in range(int(400.0 / interval_s)):
        error = kept * error + (1.0 - kept * kept) ** 0.5 * random.gauss(0.0, 0.25)
        errors.append(error)
    # The spectral density of such errors at long times is that of white ones times
    # (1 + kept) / (1 - kept).
    true = (1.0 + kept) / (1.0 - kept)
    assert 0.4 * true < factor(errors, interval_s, 0.0625) < 2.0 * true


def test_slow_hum_counts_for_much() -> None:
    random = Random(4)
    errors = [0.2 * sin(2.0 * pi * 0.5 * k / 18.0) + random.gauss(0.0, 0.05) for k in range(800)]
    assert factor(errors, 0.5, 0.0025) > 20.0
