"""Faults of the probes, told in words; and good probes, about which nothing is said.

Each roast's truth is a formula (tests.core.roasts) or the practice roaster; faults are put in here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import product
from random import Random

import pytest

from roastside.core.events import Alert, Event, Family, Sample
from roastside.core.plan import RoastPlan
from roastside.core.readings import Item, Mark, MarkSource, Reading, Tick
from roastside.core.session import Session
from roastside.core.units import FAHRENHEIT
from roastside.probes.practice import PracticeBatch, Script, Sensor
from tests.core.roasts import Probe, Truth, by_hand, readings, reference_of, told

HOUSE = Truth()
DROP_S = HOUSE.charge_s + HOUSE.drop_s
REFERENCE = reference_of(HOUSE, Probe(seed=70), first_crack=HOUSE.reaches_s(196.0))
ROAST = readings(HOUSE, Probe(seed=1))

LONGEST_MESSAGE = 68
"""What fits one line of an 80-column screen."""

OFF_DELAY_S = 5.0
"""A probe that works must do so for as long before it is believed mended."""


def practice(sensor: Sensor, seed: int = 5) -> list[Reading]:
    """A whole practice roast with bean and air, charged at 30 s."""
    batch = PracticeBatch(Script(sensor=sensor, seed=seed))
    items: list[Reading] = []
    while not batch.ended:
        items += [item for item in batch.step() if isinstance(item, Reading)]
    return items


def altered(
    change: Callable[[Reading], Reading | None], items: Iterable[Reading] = ROAST
) -> list[Reading]:
    """The readings with a fault put in; None loses one."""
    return [made for item in items if (made := change(item)) is not None]


def between(
    from_s: float, to_s: float, change: Callable[[Reading], Reading | None]
) -> list[Reading]:
    """The house roast with a fault in part of it."""
    return altered(lambda r: change(r) if from_s <= r.time_s < to_s else r)


def news(events: Sequence[Event]) -> list[tuple[float, str, str]]:
    """What was said about probes: when, which alert, which state. All of it fits its line."""
    alerts = [e for e in events if isinstance(e, Alert)]
    for alert in alerts:
        assert len(alert.message) <= LONGEST_MESSAGE, alert.message
    return [(a.time_s, a.alert, str(a.state)) for a in alerts if a.family is Family.PROBE]


def raised(items: Iterable[Item], reference: bool = False) -> list[str]:
    """The probe alerts raised in a roast, in order."""
    session = Session(None, REFERENCE if reference else None)
    return [alert for _, alert, state in news(told(session, items)) if state == "raised"]


def off_course(events: Sequence[Event]) -> list[str]:
    """What was said about the course."""
    return [e.alert for e in events if isinstance(e, Alert) and e.alert.endswith("_reference")]


# -- open circuit, and leaps no probe can make ------------------------------------------------


@pytest.mark.parametrize("seconds", [5.0, 10.0, 40.0])
@pytest.mark.parametrize("wild_c", [0.0, 400.0, -40.0])
def test_a_probe_that_leaps_away_is_open_and_disturbs_nothing(
    seconds: float, wild_c: float
) -> None:
    items = between(400.0, 400.0 + seconds, lambda r: replace(r, bean_c=wild_c))
    session, clean = Session(None, REFERENCE), Session(None, REFERENCE)
    events, good = told(session, items), told(clean, ROAST)
    assert news(events) == [
        (402.5, "probe_open", "raised"),
        (400.0 + seconds + OFF_DELAY_S, "probe_open", "cleared"),
    ]
    assert off_course(events) == off_course(good) == []
    assert session.finish().marks == pytest.approx(clean.finish().marks, abs=1.0)
    later = [e for e in events if isinstance(e, Sample) and 445.0 < e.time_s < DROP_S]
    assert max(abs(s.deviation_c or 9.0) for s in later) < 0.5


def test_a_leap_is_passed_on_as_it_was_read_and_the_estimate_goes_on_for_a_moment() -> None:
    items = between(400.0, 420.0, lambda r: replace(r, bean_c=0.0))
    session = Session()
    samples = {e.time_s: e for e in told(session, items) if isinstance(e, Sample)}
    assert len(samples) == len(ROAST) == session.finish().readings
    assert samples[401.0].bean_c == samples[415.0].bean_c == 0.0
    assert samples[401.0].level_c == pytest.approx(HOUSE.bean_c(401.0), abs=0.5)
    true_rate = 60.0 * HOUSE.slope_c_per_s(401.0 - HOUSE.charge_s)
    assert samples[401.0].rate_c_per_min == pytest.approx(true_rate, abs=1.5)
    assert (samples[415.0].level_c, samples[415.0].rate_c_per_min) == (None, None)


def test_an_open_probe_stays_one_alert_when_the_line_then_falls_silent() -> None:
    def fault(r: Reading) -> Reading | None:
        return replace(r, bean_c=None) if r.time_s < 410.0 else None

    assert news(told(Session(), between(400.0, 430.0, fault))) == [
        (402.5, "probe_open", "raised"),
        (430.0 + OFF_DELAY_S, "probe_open", "cleared"),
    ]


def test_what_is_said_does_not_hang_on_when_the_clock_was_looked_at() -> None:
    items: list[Item] = list(between(400.0, 410.0, lambda r: replace(r, bean_c=0.0)))
    random = Random(4)
    often: list[Item] = []
    for item in items:
        often += [Tick(round(item.time_s - random.uniform(0.0, 0.5), 3)), item]
    assert news(told(Session(), often[1:])) == news(told(Session(), items))


def believed(items: list[Reading]) -> list[float]:
    """When the level was known, which it is only from believed readings (or just after)."""
    events = told(Session(), items)
    return [e.time_s for e in events if isinstance(e, Sample) and e.level_c is not None]


def test_a_probe_plugged_in_late_is_believed_within_seconds() -> None:
    late = between(0.0, 30.0, lambda r: replace(r, bean_c=0.0))
    session = Session()
    told(session, late)
    assert session.finish().marks["charge"] == 0.0
    assert session.marks.time_s("charge") == pytest.approx(HOUSE.charge_s, abs=1.5)  # type: ignore[arg-type]


def test_a_first_reading_gone_wrong_costs_the_next_one_at_most() -> None:
    wrong = between(0.0, 0.4, lambda r: replace(r, bean_c=0.0))
    assert news(told(Session(), wrong)) == []
    assert believed(wrong)[1:] == [r.time_s for r in ROAST if r.time_s >= 1.0]


def test_after_a_silence_a_zero_is_no_more_believable_than_before_it() -> None:
    def fault(r: Reading) -> Reading | None:
        return None if r.time_s < 415.0 else replace(r, bean_c=0.0)

    session = Session(None, REFERENCE)
    events = told(session, between(400.0, 430.0, fault))
    assert [n[1:] for n in news(events)] == [
        ("probe_silent", "raised"),
        ("probe_open", "raised"),
        ("probe_silent", "cleared"),
        ("probe_open", "cleared"),
    ]
    assert session.finish().marks["drop"] == pytest.approx(HOUSE.drop_s, abs=2.0)


def test_beans_charged_while_the_line_was_silent_are_believed() -> None:
    quiet = between(35.0, 52.0, lambda r: None)
    assert news(told(Session(), quiet))[-1] == (52.0, "probe_silent", "cleared")
    assert len(believed(quiet)) == len(quiet)


def test_another_level_that_lives_for_two_minutes_is_believed_at_last() -> None:
    def moved(r: Reading) -> Reading:
        assert r.bean_c is not None
        return replace(r, bean_c=r.bean_c + 150.0)

    events = told(Session(), between(200.0, 380.0, moved))
    assert news(events)[:2] == [
        (202.5, "probe_open", "raised"),
        (320.0 + OFF_DELAY_S, "probe_open", "cleared"),
    ]


# -- stuck ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("interval_s", "noise_sd_c", "step_c"),
    [(0.1, 0.0, 0.25), (0.5, 0.12, 0.25), (0.5, 0.3, 0.0), (1.0, 0.0, 0.1), (2.0, 0.3, 1.0)],
)
def test_a_stuck_value_is_told_within_a_minute_and_before_any_advice_about_heat(
    interval_s: float, noise_sd_c: float, step_c: float
) -> None:
    roast = readings(HOUSE, Probe(interval_s, noise_sd_c, step_c), until_s=420.0)
    held_c = next(r.bean_c for r in roast if r.time_s >= 300.0)
    stuck = altered(lambda r: replace(r, bean_c=held_c) if r.time_s >= 300.0 else r, roast)
    events = told(Session(None, REFERENCE), stuck)
    ((at_s, alert, state),) = news(events)
    assert (alert, state) == ("probe_stuck", "raised")
    assert 329.0 <= at_s <= 362.0
    assert off_course(events) == []


def test_it_is_over_when_the_value_moves_again() -> None:
    held_c = next(r.bean_c for r in ROAST if r.time_s >= 400.0)
    items = between(400.0, 460.0, lambda r: replace(r, bean_c=held_c))
    assert [n[1:] for n in news(told(Session(None, REFERENCE), items))] == [
        ("probe_stuck", "raised"),
        ("probe_stuck", "cleared"),
    ]


@pytest.mark.parametrize("lasts_s", [25.0, 45.0, 70.0])
@pytest.mark.parametrize("at_s", [250.0, 400.0, 480.0, 560.0])
def test_a_stuck_probe_is_no_stall(at_s: float, lasts_s: float) -> None:
    for interval_s, noise_sd_c, step_c in ((0.5, 0.12, 0.25), (0.5, 0.0, 1.0), (2.0, 0.3, 1.0)):
        stuck = Sensor(interval_s, noise_sd_c, step_c, stuck_from_s=at_s, stuck_to_s=at_s + lasts_s)
        events = told(Session(), practice(stuck))
        assert "stall" not in {event.alert for event in events if isinstance(event, Alert)}


def test_a_probe_stuck_before_charge_is_given_away_by_the_air() -> None:
    items = practice(Sensor(stuck_from_s=10.0, stuck_to_s=1e9))
    ((at_s, alert, _),) = news(told(Session(), items))
    assert alert == "probe_stuck"
    assert at_s < 70.0


def test_a_probe_that_does_not_feel_the_beans_is_stuck() -> None:
    flat = [Reading(0.5 * k, 200.0) for k in range(400)]
    assert raised(flat) == []
    assert raised([*flat[:100], by_hand(49.7, "charge"), *flat[100:]]) == ["probe_stuck"]


def test_a_coarse_probe_in_a_quiet_machine_is_not_stuck() -> None:
    # Ten readings a second in whole degrees, no noise: one value for minutes.
    idle = [Reading(0.1 * k, round(200.4 - 0.0004 * k), 210.0) for k in range(3000)]
    assert raised(idle) == []


# -- swapped, and in Fahrenheit ---------------------------------------------------------------


def test_swapped_probes_are_told_once_when_the_roast_shows_it() -> None:
    for interval_s, noise_sd_c, step_c in ((0.5, 0.12, 0.25), (2.0, 0.3, 1.0), (0.25, 0.0, 0.0)):
        items = practice(Sensor(interval_s, noise_sd_c, step_c, swapped=True))
        ((at_s, alert, _),) = news(told(Session(None, REFERENCE), items))
        assert alert == "probes_swapped"
        assert 45.0 < at_s < 120.0


def test_probes_swapped_back_are_good_again() -> None:
    wrong, right = practice(Sensor(swapped=True)), practice(Sensor())
    items = [*(r for r in wrong if r.time_s < 90.0), *(r for r in right if r.time_s > 95.0)]
    assert [n[1:] for n in news(told(Session(), items)) if n[1] == "probes_swapped"] == [
        ("probes_swapped", "raised"),
        ("probes_swapped", "cleared"),
    ]


def test_an_air_probe_that_is_cooler_than_the_beans_is_not_a_swapped_one() -> None:
    # In a leaky exhaust: 60 °C lower from the start, and still above the beans' lowest.
    items = [
        replace(r, air_c=None if r.air_c is None else r.air_c - 60.0) for r in practice(Sensor())
    ]
    assert raised(items) == []


def in_fahrenheit(r: Reading) -> Reading:
    assert r.bean_c is not None
    return replace(r, bean_c=r.bean_c * 1.8 + 32.0)


def test_fahrenheit_is_told_before_the_beans_go_in() -> None:
    events = told(Session(None, REFERENCE), altered(in_fahrenheit))
    assert news(events) == [(20.0, "wrong_unit", "raised")]
    (alert,) = (e for e in events if isinstance(e, Alert) and e.alert == "wrong_unit")
    assert "392" in alert.message, "200 °C, the level before charge, is 392 °F"
    assert off_course(events) == []


def test_fahrenheit_is_told_at_the_turning_point_if_charge_came_at_once() -> None:
    items = [in_fahrenheit(r) for r in ROAST if r.time_s > 30.0]
    ((at_s, alert, _),) = news(told(Session(), items))
    assert alert == "wrong_unit"
    assert at_s < HOUSE.charge_s + HOUSE.turning_point_s + 30.0


def test_fahrenheit_does_not_hide_that_it_may_be_a_fire() -> None:
    events = told(Session(), altered(in_fahrenheit))
    assert next(e.alert for e in events if isinstance(e, Alert)) == "over_temperature"


def test_a_roast_on_fire_is_not_taken_for_fahrenheit() -> None:
    burning = [
        replace(r, bean_c=min((r.bean_c or 0.0) + 1.5 * (r.time_s - 500.0), 480.0))
        if r.time_s > 500.0
        else r
        for r in ROAST
    ]
    events = told(Session(), burning)
    assert "wrong_unit" not in [alert for _, alert, _ in news(events)]
    assert "over_temperature" in [e.alert for e in events if isinstance(e, Alert)]


# -- sampling ---------------------------------------------------------------------------------


@pytest.mark.parametrize("interval_s", [2.5, 3.0, 5.0])
def test_slow_sampling_is_told_once(interval_s: float) -> None:
    *before, last = raised(readings(HOUSE, Probe(interval_s)))
    assert last == "slow_sampling"
    # Until it is known that this is the adapter's habit, five seconds are a silence.
    assert before == ([] if interval_s < 4.0 else ["probe_silent"] * 3)


def timed(times_s: Iterable[float]) -> list[Reading]:
    """The house roast as an adapter reports it at these times."""
    random = Random(8)
    return [
        Reading(at, round((HOUSE.bean_c(at) + random.gauss(0.0, 0.12)) * 4) / 4)
        for at in (round(t, 3) for t in times_s)
    ]


def test_an_interval_that_drifts_is_told() -> None:
    times_s, now_s, spacing_s = [], 0.0, 0.5
    while now_s < 650.0:
        times_s.append(now_s)
        now_s, spacing_s = now_s + spacing_s, spacing_s * 1.001
    assert spacing_s > 0.9
    assert raised(timed(times_s)) == ["unsteady_sampling"]


@pytest.mark.parametrize("at_once", [4, 10])
def test_readings_held_back_and_sent_at_once_are_told(at_once: int) -> None:
    times_s = [0.5 * at_once * (k // at_once) for k in range(1200)]
    found = raised(timed(times_s))
    assert [alert for alert in found if alert != "probe_silent"] == ["unsteady_sampling"]
    assert len(found) <= 4, "a pause that has become a habit is no silence"


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
def test_a_clock_that_trembles_or_a_line_that_loses_some_is_not_unsteady(interval_s: float) -> None:
    random = Random(3)
    count = int(600.0 / interval_s)
    trembling = [interval_s * (k + 0.4 * random.random()) for k in range(count)]
    assert raised(timed(trembling)) == []
    losing = raised(timed(t for t in trembling if random.random() > 0.03))
    # Of readings two seconds apart a few lost in a row are a silence, and rightly told as such.
    assert set(losing) <= ({"probe_silent"} if interval_s == 2.0 else set())


def test_spikes_are_told_once_and_a_rare_one_is_not() -> None:
    for seed in range(3):
        assert raised(readings(HOUSE, Probe(spike_share=0.03, seed=seed))) == ["spikes"]
    rare = [
        replace(r, bean_c=(r.bean_c or 0.0) + 60.0 * (k % 400 == 399)) for k, r in enumerate(ROAST)
    ]
    assert raised(rare) == []


# -- good probes ------------------------------------------------------------------------------

RATES_HZ = (0.5, 1.0, 2.0, 4.0, 10.0)
NOISES_C = (0.0, 0.1, 0.25, 0.5)
STEPS_C = (0.0, 0.1, 0.25, 0.5, 1.0)
GOOD = [
    (rate, noise, step)
    for k, (rate, noise, step) in enumerate(product(RATES_HZ, NOISES_C, STEPS_C))
    if k % 7 == 0 or (rate, noise, step) == (10.0, 0.0, 1.0)
]


@pytest.mark.parametrize(("rate_hz", "noise_sd_c", "step_c"), GOOD)
def test_nothing_is_said_about_a_good_probe(
    rate_hz: float, noise_sd_c: float, step_c: float
) -> None:
    truth = Truth(lag_s=(8.0, 15.0, 25.0)[int(rate_hz * 10) % 3], drift_c_per_s=-0.02)
    probe = Probe(1.0 / rate_hz, noise_sd_c, step_c, jitter_s=0.05 / rate_hz)
    assert raised(readings(truth, probe)) == []


@pytest.mark.parametrize("step_c", [0.0, 0.25, 1.0])
def test_nothing_is_said_about_two_good_probes(step_c: float) -> None:
    for interval_s, noise_sd_c in ((2.0, 0.0), (0.5, 0.25)):
        assert raised(practice(Sensor(interval_s, noise_sd_c, step_c))) == []


# -- words ------------------------------------------------------------------------------------


def test_alerts_speak_the_degrees_of_the_plan() -> None:
    items = between(400.0, 410.0, lambda r: replace(r, bean_c=0.0))
    events = told(Session(RoastPlan(degrees=FAHRENHEIT)), items)
    (alert, _) = (e for e in events if isinstance(e, Alert) and e.family is Family.PROBE)
    assert alert.message.endswith("it leapt to 32 °F")


def test_a_mark_of_the_file_is_as_good_as_a_detected_charge() -> None:
    items: list[Item] = [Mark(30.0, "charge", source=MarkSource.FILE)]
    assert raised([*items, *practice(Sensor(swapped=True))]) == ["probes_swapped"]
