"""Readings of other probes only: they are no bean readings, present or missing."""

from __future__ import annotations

from dataclasses import replace

from roastside.core.events import Alert, Event, Sample, as_record
from roastside.core.readings import Item, Reading
from roastside.core.session import Session
from tests.core.roasts import Truth, readings

TOLD = Truth()


def air(time_s: float) -> Reading:
    return Reading(time_s, None, 230.0, {"exhaust_c": 180.0}, partial=True)


def told_of(items: list[Item]) -> list[Event]:
    session = Session()
    return [event for item in items for event in session.feed(item)] + [session.finish()]


def test_they_change_nothing_that_is_told_of_a_roast() -> None:
    beans: list[Item] = list(readings(TOLD))
    between = [each for bean in beans for each in (bean, air(bean.time_s + 0.2))]
    assert told_of(between)[:-1] == told_of(beans)[:-1]
    with_air, alone = told_of(between)[-1], told_of(beans)[-1]
    assert replace(with_air, time_s=0.0, elapsed_s=0.0) == replace(alone, time_s=0.0, elapsed_s=0.0)


def test_they_are_no_sign_of_life_of_the_bean_probe() -> None:
    items: list[Item] = [Reading(0.0, 200.0), Reading(1.0, 200.0)]
    told = told_of(items + [air(1.0 + step / 4) for step in range(1, 30)])
    silent = [event for event in told if isinstance(event, Alert)]
    assert [(event.alert, event.state) for event in silent] == [("probe_silent", "raised")]


def test_a_bean_probe_that_never_spoke_is_missed_though_another_speaks() -> None:
    told = told_of([air(step / 4) for step in range(30)])
    assert [event.alert for event in told if isinstance(event, Alert)] == ["probe_silent"]


def test_further_channels_are_for_drawing_and_no_part_of_the_stream() -> None:
    [sample] = [
        event
        for event in told_of([Reading(0.0, 200.0, 230.0, {"exhaust_c": 180.0})])
        if isinstance(event, Sample)
    ]
    assert sample.extra == {"exhaust_c": 180.0}
    assert not any("exhaust" in key for key in as_record(sample)) and "extra" not in as_record(
        sample
    )
