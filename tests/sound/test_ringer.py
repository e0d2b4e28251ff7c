"""When it rings, for what, and when it is silent."""

from __future__ import annotations

import itertools

import pytest

from roastside.core.events import Alert, AlertState, Event, Family, Gap, Priority, Summary
from roastside.sound.grammar import AGAIN_AFTER_S, APART_S, BURST_S
from roastside.sound.ringer import CRITICAL_HUSH_S, HUSH_S, Ringer, gravest

STEP_S = 0.1


def alert(
    priority: Priority, state: AlertState = AlertState.RAISED, name: str | None = None
) -> Alert:
    return Alert(0.0, None, name or str(priority), Family.PROBE, priority, state, "look")


def raise_at_once(*priorities: Priority) -> Ringer:
    ringer = Ringer()
    ringer.take([alert(priority) for priority in priorities])
    return ringer


def rung(ringer: Ringer, until_s: float, from_s: float = 0.0) -> list[tuple[float, Priority]]:
    """When a burst of which priority was due, asked ten times a second."""
    found = []
    for step in range(round((until_s - from_s) / STEP_S)):
        now_s = round(from_s + step * STEP_S, 3)
        if due := ringer.due(now_s):
            found.append((now_s, due.priority))
    return found


def sounding(ringer: Ringer, now_s: float) -> str:
    """The alert whose burst begins now, empty for none."""
    due = ringer.due(now_s)
    return "" if due is None else due.alert


def test_nothing_rings_when_nothing_is_wrong() -> None:
    ringer = Ringer()
    ringer.take([Gap(1.0, None, 0.0, 1.0, "no readings came")])
    assert rung(ringer, 60.0) == []


@pytest.mark.parametrize("priority", [Priority.LOW, Priority.MEDIUM])
def test_lesser_alerts_ring_once(priority: Priority) -> None:
    assert rung(raise_at_once(priority), 300.0) == [(0.0, priority)]


@pytest.mark.parametrize("priority", [Priority.HIGH, Priority.CRITICAL])
def test_grave_alerts_ring_again_and_again(priority: Priority) -> None:
    again_s = AGAIN_AFTER_S[priority]
    assert again_s is not None
    assert rung(raise_at_once(priority), 3.5 * again_s) == [
        (again_s * count, priority) for count in range(4)
    ]


@pytest.mark.parametrize("state", [AlertState.CLEARED, AlertState.ACKNOWLEDGED])
@pytest.mark.parametrize("priority", Priority)
def test_what_is_over_or_seen_is_silent(priority: Priority, state: AlertState) -> None:
    ringer = raise_at_once(priority)
    assert rung(ringer, 1.0) == [(0.0, priority)]
    ringer.take([alert(priority, state)])
    assert rung(ringer, 100.0, from_s=1.0) == []


def test_what_is_raised_again_rings_again() -> None:
    ringer = raise_at_once(Priority.HIGH)
    assert len(rung(ringer, 10.0)) == 1
    ringer.take([alert(Priority.HIGH, AlertState.CLEARED), alert(Priority.HIGH)])
    assert rung(ringer, 20.0, from_s=10.0) == [(10.0, Priority.HIGH)]


def test_the_gravest_rings_first_and_the_others_wait_for_its_end() -> None:
    ringer = raise_at_once(Priority.LOW, Priority.HIGH, Priority.MEDIUM)
    order = rung(ringer, 10.0)
    assert [priority for _, priority in order] == [Priority.HIGH, Priority.MEDIUM, Priority.LOW]
    for (began_s, priority), (next_s, _) in itertools.pairwise(order):
        assert next_s > began_s + BURST_S[priority]


def test_only_a_critical_alert_interrupts() -> None:
    ringer = raise_at_once(Priority.MEDIUM)
    assert sounding(ringer, 0.0) == "medium"
    ringer.take([alert(Priority.HIGH)])
    assert sounding(ringer, 0.1) == ""
    ringer.take([alert(Priority.CRITICAL)])
    assert sounding(ringer, 0.2) == "critical"


def test_a_hush_is_silent_and_counts_down() -> None:
    ringer = raise_at_once(Priority.HIGH)
    assert ringer.hushed_for_s(0.0) == 0.0
    ringer.hush(10.0)
    assert ringer.hushed_for_s(10.0) == HUSH_S
    assert ringer.hushed_for_s(10.0 + 0.25 * HUSH_S) == 0.75 * HUSH_S
    assert rung(ringer, 10.0 + HUSH_S, from_s=10.0) == []
    assert ringer.hushed_for_s(10.0 + HUSH_S) == 0.0
    assert rung(ringer, 71.0, from_s=70.0) == [(70.0, Priority.HIGH)]


def test_what_was_raised_during_a_hush_rings_after_it_if_it_still_stands() -> None:
    ringer = Ringer()
    ringer.hush(0.0)
    ringer.take([alert(Priority.LOW), alert(Priority.MEDIUM)])
    ringer.take([alert(Priority.LOW, AlertState.CLEARED)])
    assert rung(ringer, HUSH_S + 10.0) == [(HUSH_S, Priority.MEDIUM)]


def test_asked_again_a_hush_ends() -> None:
    ringer = raise_at_once(Priority.MEDIUM)
    ringer.hush(0.0)
    assert sounding(ringer, 5.0) == ""
    ringer.hush(5.0)
    assert ringer.hushed_for_s(5.0) == 0.0
    assert sounding(ringer, 5.0) == "medium"


def test_a_critical_alert_is_never_hushed_for_longer_than_thirty_seconds() -> None:
    assert CRITICAL_HUSH_S <= 30.0
    ringer = raise_at_once(Priority.CRITICAL, Priority.HIGH)
    ringer.hush(0.0)
    heard = rung(ringer, HUSH_S - STEP_S)
    assert heard[0] == (CRITICAL_HUSH_S, Priority.CRITICAL)
    assert {priority for _, priority in heard} == {Priority.CRITICAL}
    assert len(heard) >= 4


def test_the_gravest_of_some_alerts() -> None:
    some: list[Alert] = [alert(Priority.MEDIUM), alert(Priority.CRITICAL), alert(Priority.LOW)]
    assert gravest(some) is some[1]
    assert gravest([]) is None


def test_two_alerts_of_one_kind_of_burst_both_ring() -> None:
    ringer = Ringer()
    events: list[Event] = [
        alert(Priority.LOW, name="first_crack_soon"),
        alert(Priority.LOW, name="behind_reference"),
    ]
    ringer.take(events)
    assert len(rung(ringer, 10.0)) == 2


def test_of_medium_alerts_one_a_minute_sounds_and_the_next_only_if_it_still_stands() -> None:
    ringer = Ringer()
    ringer.take([alert(Priority.MEDIUM, name=name) for name in ("first", "second", "third")])
    assert sounding(ringer, 0.0) == "first"
    assert rung(ringer, APART_S[Priority.MEDIUM], from_s=1.0) == []
    ringer.take([alert(Priority.MEDIUM, AlertState.ACKNOWLEDGED, "second")])
    assert sounding(ringer, 60.0) == "third"
    assert rung(ringer, 300.0, from_s=61.0) == []


def test_a_medium_alert_that_comes_and_goes_sounds_no_more_often() -> None:
    ringer = raise_at_once(Priority.MEDIUM)
    heard = []
    for second in range(180):
        heard += rung(ringer, second + 1.0, from_s=float(second))
        ringer.take([alert(Priority.MEDIUM, AlertState.CLEARED), alert(Priority.MEDIUM)])
    assert [at_s for at_s, _ in heard] == [0.0, 60.0, 120.0]


@pytest.mark.parametrize("priority", [Priority.LOW, Priority.HIGH, Priority.CRITICAL])
def test_a_medium_sound_makes_nothing_else_wait_a_minute(priority: Priority) -> None:
    ringer = raise_at_once(Priority.MEDIUM)
    rung(ringer, 5.0)
    ringer.take([alert(priority)])
    assert sounding(ringer, 5.0) == priority


def test_what_is_spoken_is_let_finish_but_for_something_graver() -> None:
    ringer = raise_at_once(Priority.MEDIUM)
    assert sounding(ringer, 0.0) == "medium"
    ringer.hold(8.0, alert(Priority.MEDIUM))
    ringer.take([alert(Priority.LOW)])
    assert sounding(ringer, 7.9) == ""
    ringer.take([alert(Priority.HIGH)])
    assert sounding(ringer, 7.9) == "high"
    assert sounding(ringer, 10.0) == "low"


def test_a_critical_alert_that_is_spoken_sounds_again_after_its_words() -> None:
    ringer = raise_at_once(Priority.CRITICAL)
    assert sounding(ringer, 0.0) == "critical"
    ringer.hold(9.0, alert(Priority.CRITICAL))
    assert rung(ringer, 10.0, from_s=1.0) == [(9.0, Priority.CRITICAL)]


def test_with_the_roast_all_sounds_end() -> None:
    ringer = raise_at_once(*Priority)
    ringer.take([Summary(700.0, 600.0, 600.0, {}, {}, None, None, None)])
    assert rung(ringer, 300.0) == []


def test_a_clock_that_leaps_forth_only_ends_what_it_timed() -> None:
    ringer = raise_at_once(Priority.HIGH, Priority.MEDIUM)
    rung(ringer, 5.0)
    ringer.hush(5.0)
    assert rung(ringer, 3610.0, from_s=3600.0) == [(3600.0, Priority.HIGH)]
    assert ringer.hushed_for_s(3600.0) == 0.0


def test_a_clock_that_leaps_back_silences_nothing() -> None:
    ringer = raise_at_once(Priority.HIGH)
    assert sounding(ringer, 3600.0) == "high"
    ringer.hold(3605.0, alert(Priority.HIGH))
    ringer.take([alert(Priority.CRITICAL), alert(Priority.MEDIUM)])
    heard = rung(ringer, 20.0)
    assert heard[0] == (0.0, Priority.CRITICAL)
    assert {priority for _, priority in heard} == {
        Priority.MEDIUM,
        Priority.HIGH,
        Priority.CRITICAL,
    }
    ringer.hush(3600.0)
    assert Priority.CRITICAL in {priority for _, priority in rung(ringer, 40.0, from_s=30.0)}


def test_the_words_of_what_is_over_hold_nothing_up() -> None:
    ringer = raise_at_once(Priority.HIGH)
    assert sounding(ringer, 0.0) == "high"
    ringer.hold(8.0, alert(Priority.HIGH))
    ringer.take([alert(Priority.LOW), alert(Priority.HIGH, AlertState.ACKNOWLEDGED)])
    assert sounding(ringer, 2.0) == "low"


def test_a_new_critical_alert_waits_for_no_words() -> None:
    ringer = raise_at_once(Priority.CRITICAL)
    assert sounding(ringer, 0.0) == "critical"
    ringer.hold(8.0, alert(Priority.CRITICAL))
    ringer.take([alert(Priority.CRITICAL, name="another")])
    assert sounding(ringer, 1.0) == "another"
