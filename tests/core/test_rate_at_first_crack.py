"""What the rate of rise makes of a first crack that was heard. Every truth is computed here."""

from __future__ import annotations

from random import Random

import numpy as np

from roastside.core.rate import RateFilter


def rms(values: np.ndarray) -> float:
    return float(np.sqrt(np.mean(values**2)))


def cracking(seed: int, swing_c_per_min: float, told: bool) -> tuple[np.ndarray, np.ndarray]:
    """Error and deviation of the rate (°C/min) in the minute after 300 s, from when on the rate
    falls by so much within 20 s; first crack `told` then or not."""
    rng = Random(seed)
    rate_filter = RateFilter(0.0)
    bean_c, error, deviation = 100.0, [], []
    for at_s in np.arange(60.0, 360.0, 0.5):
        rate = 10.0 - swing_c_per_min * min(max((at_s - 300.0) / 20.0, 0.0), 1.0)
        if at_s == 302.0 and told:
            rate_filter.cracked(300.0)
        found = rate_filter.update(float(at_s), bean_c + rng.gauss(0.0, 0.2))
        if found is not None and at_s > 302.0:
            error.append(found.rate_c_per_min - rate)
            deviation.append(found.rate_sd)
        bean_c += rate * 0.5 / 60.0
    return np.array(error), np.array(deviation)


def over_roasts(swing_c_per_min: float, told: bool) -> tuple[np.ndarray, np.ndarray]:
    each = [cracking(seed, swing_c_per_min, told) for seed in range(12)]
    return np.array([error for error, _ in each]), np.array([sd for _, sd in each])


def test_what_first_crack_does_to_the_rate_is_followed_sooner() -> None:
    told, _ = over_roasts(3.0, told=True)
    untold, _ = over_roasts(3.0, told=False)
    assert rms(told) < 0.9 * rms(untold)


def test_a_first_crack_that_does_nothing_to_the_rate_costs_little_and_the_interval_tells_so() -> (
    None
):
    told, told_sd = over_roasts(0.0, told=True)
    untold, untold_sd = over_roasts(0.0, told=False)
    assert rms(told) < 1.5 * rms(untold)
    assert np.median(told_sd) > 1.3 * np.median(untold_sd)


def test_a_first_crack_that_is_withdrawn_is_none() -> None:
    one, other = RateFilter(0.0), RateFilter(0.0)
    one.cracked(10.0)
    one.cracked(None)
    for at_s in range(60, 200):
        assert one.update(at_s, 100.0 + at_s / 6.0) == other.update(at_s, 100.0 + at_s / 6.0)


def test_in_the_minute_after_it_a_roast_alone_is_told_as_less_sure() -> None:
    """The same curve, the same filter: only what is told of it differs."""
    rng, told = Random(3), {}
    rate_filter = RateFilter(0.0)
    rate_filter.cracked(300.0)
    for k in range(120, 800):
        at_s = 0.5 * k
        found = rate_filter.update(at_s, 100.0 + 0.15 * at_s + rng.gauss(0.0, 0.2))
        if found is not None:
            told[at_s] = found.rate_sd
    assert told[359.5] > 1.3 * told[360.0]
    assert told[300.0] > 1.3 * told[299.5]
