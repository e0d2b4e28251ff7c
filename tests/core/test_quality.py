"""How well a probe is sampled, in numbers and in words. Truths are put in by the readings made."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

import pytest

from roastside.core.quality import Quality, QualityMeter
from roastside.core.readings import Reading
from roastside.core.session import Session
from roastside.core.trust import quality_words
from roastside.core.units import FAHRENHEIT
from tests.core.roasts import Probe, Truth, readings, told


def measured(items: Iterable[tuple[float, float | None]]) -> Quality:
    meter = QualityMeter()
    for time_s, bean_c in items:
        meter.update(time_s, bean_c, believed=True)
    return meter.quality


def steady(
    interval_s: float, noise_sd_c: float = 0.0, step_c: float = 0.0, seconds: float = 120.0
) -> list[tuple[float, float | None]]:
    random = Random(2)
    items: list[tuple[float, float | None]] = []
    for k in range(int(seconds / interval_s)):
        value_c = 150.0 + 0.17 * k * interval_s + random.gauss(0.0, noise_sd_c)
        items.append((k * interval_s, round(value_c / step_c) * step_c if step_c else value_c))
    return items


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
def test_rate_and_interval_are_those_of_the_last_minute(interval_s: float) -> None:
    quality = measured(
        [(t / 3.0, v) for t, v in steady(interval_s)]
        + [(100.0 + t, v) for t, v in steady(interval_s)]
    )
    assert quality.readings_per_s == pytest.approx(1.0 / interval_s, rel=1e-6)
    assert quality.interval_s == pytest.approx(interval_s)
    assert quality.jitter_s == pytest.approx(0.0, abs=1e-6)
    assert quality.seconds <= 60.0


def test_jitter_is_the_standard_deviation_of_the_spacing_whatever_single_pauses_say() -> None:
    random, now_s = Random(6), 0.0
    items: list[tuple[float, float | None]] = []
    for k in range(400):
        now_s += random.gauss(0.5, 0.04) + (3.0 if k % 40 == 0 else 0.0)
        items.append((now_s, 150.0 + 0.1 * k))
    # Robust from about a hundred spacings: a fifth off is two of its standard errors.
    assert measured(items).jitter_s == pytest.approx(0.04, rel=0.35)


@pytest.mark.parametrize(("noise_sd_c", "step_c"), [(0.3, 0.0), (0.3, 0.25), (0.6, 1.0)])
def test_noise_and_step_are_found(noise_sd_c: float, step_c: float) -> None:
    quality = measured(steady(0.25, noise_sd_c, step_c, seconds=300.0))
    # A rounded reading carries step²/12 besides.
    expected = (noise_sd_c**2 + step_c**2 / 12.0) ** 0.5
    assert quality.noise_sd_c == pytest.approx(expected, rel=0.2)
    if step_c:
        assert quality.step_c == pytest.approx(step_c)


def test_what_is_missing_counts_empty_readings_and_those_that_never_came() -> None:
    items = steady(0.5)
    empty = [(t, None if k % 10 == 0 else v) for k, (t, v) in enumerate(items)]
    lost = [item for k, item in enumerate(items) if k % 10]
    assert measured(empty).missing_share == pytest.approx(0.1, abs=0.01)
    assert measured(lost).missing_share == pytest.approx(0.1, abs=0.01)
    assert measured(items).missing_share == 0.0


def test_spikes_are_counted_one_by_one() -> None:
    items = [
        (t, (v or 0.0) + (40.0 if k % 30 == 15 else 0.0)) for k, (t, v) in enumerate(steady(0.5))
    ]
    quality = measured(items)
    assert quality.spikes == 4
    assert quality.spike_share == pytest.approx(4 / 121)


def test_a_plunge_and_its_turn_are_no_spikes() -> None:
    for interval_s in (0.1, 0.5, 2.0):
        session = Session()
        spikes = 0
        for item in readings(Truth(lag_s=5.0), Probe(interval_s, 0.5, 1.0)):
            session.feed(item)
            spikes += session.quality.spikes
        assert spikes == 0


def test_the_words_say_how_good_the_readings_are() -> None:
    session = Session()
    told(session, readings(Truth(), Probe(0.5, 0.12, 0.25), until_s=300.0))
    rate, noise, gone = quality_words(session.quality)
    assert rate == "2.0 readings a second, steady (±0 ms)"
    assert noise.startswith("noise 0.1")
    assert noise.endswith(" °C, steps of 0.25 °C")
    assert gone == "nothing missing, no spikes"


def test_the_words_for_a_poor_adapter() -> None:
    random = Random(9)
    items = [
        (t + random.uniform(0.0, 1.2), None if k % 20 == 0 else v)
        for k, (t, v) in enumerate(steady(2.0, 0.0, 5.0 / 9.0, seconds=240.0))
    ]
    rate, noise, gone = quality_words(measured(items), FAHRENHEIT)
    assert rate.startswith("a reading every 2.0 s, uneven (±0.")
    assert noise.endswith("steps of 1.00 °F")
    assert gone.endswith("% missing, no spikes")


def test_bursts_have_their_own_word() -> None:
    bursts = [(2.0 * (k // 4), v) for k, (_, v) in enumerate(steady(0.5))]
    assert quality_words(measured(bursts))[0].endswith(", in bursts")


def test_before_there_is_anything_to_tell_it_says_so() -> None:
    assert len(quality_words(Session().quality)) == 1
    session = Session()
    told(session, [Reading(3.0, 200.0), Reading(3.0, 200.0), Reading(3.0, 201.0)])
    assert len(quality_words(session.quality)) == 1
