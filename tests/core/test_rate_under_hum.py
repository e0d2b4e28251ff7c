"""Rate of rise beside mains hum, large and small. Every truth is computed here."""

from __future__ import annotations

import math
from random import Random

import numpy as np
import pytest

from roastside.core.probe_error import ProbeError
from roastside.core.rate import RateFilter
from roastside.core.readings import Reading
from tests.core.followed_rates import HOUSE, errors, estimates, laid, roast
from tests.core.roasts import Probe, reference_of


@pytest.mark.parametrize("beside", [False, True])
@pytest.mark.parametrize("period_s", [8.0, 17.0, 31.0])
def test_slow_hum_is_not_taken_for_the_rate(period_s: float, beside: bool) -> None:
    """Less than half of its own slope is left, two minutes after it began
    to be looked for."""
    hum_c, creeps = 0.25, 0.2
    humming = [
        Reading(
            r.time_s,
            (r.bean_c or 0.0)
            + hum_c
            * math.sin(2.0 * math.pi * (r.time_s / period_s + creeps * math.sin(r.time_s / 40.0))),
        )
        for r in roast(Probe(interval_s=0.5))
    ]
    course = laid(reference_of(HOUSE), HOUSE) if beside else None
    found = [e for e in estimates(humming, HOUSE.charge_s, course) if e.time_s > 300.0]
    swings_c_per_min = 60.0 * hum_c * 2.0 * math.pi / period_s / math.sqrt(2.0)
    off = errors(found)
    assert float(np.sqrt(np.mean(off**2))) < 0.5 * swings_c_per_min
    assert float(np.mean(np.abs(off) < 1.645 * np.array([e.rate_sd for e in found]))) > 0.7


@pytest.mark.parametrize(
    ("hum_c", "period_s", "interval_s"),
    [(1.0, 16.0, 1.0), (3.6, 16.0, 0.25), (1.0, 8.0, 0.5), (5.0, 30.0, 0.5)],
)
def test_hum_far_larger_than_the_scatter_is_found_and_followed(
    hum_c: float, period_s: float, interval_s: float
) -> None:
    """Every swing then lies far outside what the scatter allows: a curve that is elsewhere again
    and again, until it is known that errors last."""
    probe = Probe(interval_s, noise_sd_c=0.02)
    humming = [
        Reading(r.time_s, (r.bean_c or 0.0) + hum_c * math.sin(2.0 * math.pi * r.time_s / period_s))
        for r in roast(probe)
    ]
    found = [e for e in estimates(humming, HOUSE.charge_s) if e.time_s > HOUSE.charge_s + 205.0]
    swings_c_per_min = 60.0 * hum_c * 2.0 * math.pi / period_s / math.sqrt(2.0)
    assert float(np.sqrt(np.mean(errors(found) ** 2))) < 0.05 * swings_c_per_min


@pytest.mark.parametrize(("interval_s", "step_c"), [(1.0, 0.1), (0.25, 0.25)])
def test_hum_that_begins_in_the_middle_leads_astray_for_a_minute(
    interval_s: float, step_c: float
) -> None:
    """Its first swings lie far outside; from then on errors are taken for as large as it, until it
    is found."""
    period_s, from_s = 16.0, HOUSE.charge_s + 300.0
    probe = Probe(interval_s, noise_sd_c=0.05, step_c=step_c)
    humming = [
        Reading(
            r.time_s,
            (r.bean_c or 0.0)
            + (math.sin(2.0 * math.pi * r.time_s / period_s) if r.time_s > from_s else 0.0),
        )
        for r in roast(probe)
    ]
    found = [e for e in estimates(humming, HOUSE.charge_s) if e.time_s > from_s + 70.0]
    off = np.abs(errors(found))
    assert float(np.sqrt(np.mean(off**2))) < 1.0
    assert float(np.mean(off < 1.645 * np.array([e.rate_sd for e in found]))) > 0.9


def humming_c(at_s: float) -> float:
    return 200.0 + 0.3 * math.sin(2.0 * math.pi * at_s / 20.0)


def preheated() -> ProbeError:
    """Of a probe that hummed for 200 s."""
    random, error = Random(1), ProbeError()
    before = RateFilter(None, None, error)
    for k in range(201):
        before.update(float(k), humming_c(float(k)) + random.gauss(0.0, 0.03))
    assert error.wave is not None
    return error


@pytest.mark.parametrize("silent_s", [10.0, 44.0, 50.0, 600.0])
def test_a_silence_across_charge_on_a_probe_that_hummed(silent_s: float) -> None:
    after = RateFilter(200.5, None, preheated())
    last = None
    for k in range(120):
        last = after.update(200.5 + silent_s + k, 100.0 + 0.2 * k + humming_c(float(k)) - 200.0)
    assert last is not None
    assert last.rate_c_per_min == pytest.approx(12.0, abs=6.0)
    assert last.rate_sd > 0.0


@pytest.mark.parametrize("days", [0.1, 1.0, 12.0])
@pytest.mark.parametrize("seed", range(4))
def test_hum_and_a_computer_that_slept_for_days(days: float, seed: int) -> None:
    random, rate_filter, slept_s = Random(seed), RateFilter(-100.0), 86_400.0 * days
    for k in range(300):
        rate_filter.update(float(k), humming_c(float(k)) + random.gauss(0.0, 0.01))
    waking = [
        rate_filter.update(slept_s + k, humming_c(float(k)) + random.gauss(0.0, 0.01))
        for k in range(300, 420)
    ]
    for estimate in waking:
        assert estimate is not None
        assert estimate.bean_sd_c > 0.0
        assert estimate.rate_sd > 0.0
    last = waking[-1]
    assert last is not None
    # No more than the hum itself swings, 5.7 °C/min: it may not be found again yet.
    assert last.rate_c_per_min == pytest.approx(0.0, abs=6.5)
