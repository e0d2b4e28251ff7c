"""What comes next in a roast, told once a second. Every truth is computed here."""

from __future__ import annotations

from collections import defaultdict
from itertools import pairwise

import pytest

from roastside.core.events import Event, Forecast
from roastside.core.plan import RoastPlan
from roastside.core.readings import MarkName
from roastside.core.session import Session
from tests.core.roasts import Probe, Truth, by_hand, readings, reference_of, told

HOUSE = Truth()
CRACK_S = HOUSE.reaches_s(196.0)
REFERENCE = reference_of(HOUSE, Probe(seed=50), first_crack=CRACK_S)


def forecasts(events: list[Event], milestone: str) -> list[Forecast]:
    return [e for e in events if isinstance(e, Forecast) and e.milestone == milestone]


def around(found: list[Forecast], elapsed_s: float) -> Forecast:
    return min(found, key=lambda f: abs((f.elapsed_s or 0.0) - elapsed_s))


def repeat(seed: int = 1, interval_s: float = 0.5, with_reference: bool = True) -> list[Event]:
    session = Session(None, REFERENCE if with_reference else None)
    return told(session, readings(HOUSE, Probe(interval_s, seed=seed)))


@pytest.mark.parametrize("interval_s", [0.3, 0.5, 2.0])
def test_each_milestone_is_told_at_most_once_a_second(interval_s: float) -> None:
    times = defaultdict(list)
    for event in repeat(interval_s=interval_s):
        if isinstance(event, Forecast):
            times[event.milestone].append(event.time_s)
    assert set(times) == {"yellowing", "first_crack", "drop"}
    for told_s in times.values():
        spacings = [later - earlier for earlier, later in pairwise(told_s)]
        assert min(spacings) > 1.0 - 1e-6
        assert len(told_s) > 100


@pytest.mark.parametrize("seed", range(4))
def test_on_a_repeat_first_crack_is_foreseen_a_minute_ahead(seed: int) -> None:
    found = around(forecasts(repeat(seed), "first_crack"), CRACK_S - 60.0)
    assert found.at_s == pytest.approx(CRACK_S, abs=4.0)
    assert found.low_s < CRACK_S < found.high_s


@pytest.mark.parametrize("seed", range(4))
def test_on_a_repeat_the_drop_is_foreseen_as_soon_as_the_curve_turns(seed: int) -> None:
    found = around(forecasts(repeat(seed), "drop"), 150.0)
    assert found.at_s == pytest.approx(HOUSE.drop_s, abs=25.0)


def test_without_a_reference_a_forecast_is_still_given_and_less_sure() -> None:
    plain = around(forecasts(repeat(with_reference=False), "first_crack"), CRACK_S - 60.0)
    known = around(forecasts(repeat(), "first_crack"), CRACK_S - 60.0)
    assert plain.high_s - plain.low_s > known.high_s - known.low_s
    assert plain.at_s == pytest.approx(CRACK_S, abs=20.0)


def test_no_forecast_lies_in_the_past_and_each_lies_in_its_interval() -> None:
    for event in repeat():
        if isinstance(event, Forecast):
            assert event.elapsed_s is not None
            assert event.elapsed_s <= event.low_s <= event.at_s <= event.high_s


def test_nothing_is_foreseen_before_the_turning_point_or_after_the_drop() -> None:
    elapsed = [e.elapsed_s or 0.0 for e in repeat() if isinstance(e, Forecast)]
    assert min(elapsed) > HOUSE.turning_point_s
    assert max(elapsed) < HOUSE.drop_s + 5.0


def test_a_milestone_that_was_marked_is_foreseen_no_more_and_the_drop_hangs_on_it() -> None:
    session = Session(RoastPlan(development_s=75.0))
    items = readings(HOUSE, until_s=HOUSE.charge_s + 570.0)
    early = told(session, [r for r in items if r.time_s <= HOUSE.charge_s + 530.0])
    session.feed(by_hand(HOUSE.charge_s + 530.0, "first_crack"))
    late = told(session, [r for r in items if r.time_s > HOUSE.charge_s + 530.0])
    assert forecasts(early, "first_crack")
    assert not forecasts(late, "first_crack")
    drops = forecasts(late, "drop")
    crack_s = session.marks.elapsed_s(MarkName.FIRST_CRACK)
    assert crack_s is not None
    assert {round(f.at_s, 6) for f in drops} == {round(crack_s + 75.0, 6)}
    assert drops[0].high_s - drops[0].low_s < 20.0


def test_first_crack_is_expected_at_the_temperature_of_the_references_own() -> None:
    early_crack_s = HOUSE.reaches_s(185.0)
    reference = reference_of(HOUSE, Probe(seed=51), first_crack=early_crack_s)
    events = told(Session(None, reference), readings(HOUSE, Probe(seed=3)))
    found = around(forecasts(events, "first_crack"), early_crack_s - 60.0)
    assert found.at_s == pytest.approx(early_crack_s, abs=4.0)
