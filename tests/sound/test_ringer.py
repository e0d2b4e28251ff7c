"""When it rings, for what, and when it is silent."""

from __future__ import annotations

import itertools

import pytest

from roastside.core.events import Alert, AlertState, Event, Family, Gap, Priority
from roastside.sound.grammar import AGAIN_AFTER_S, BELLS_S
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
    """When which burst was due, asked ten times a second."""
    kinds = {bells: priority for priority, bells in BELLS_S.items()}
    found = []
    for step in range(round((until_s - from_s) / STEP_S)):
        now_s = round(from_s + step * STEP_S, 3)
        if bells := ringer.due(now_s):
            found.append((now_s, kinds[bells]))
    return found


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
    ringer = raise_at_once(Priority.MEDIUM)
    assert len(rung(ringer, 10.0)) == 1
    ringer.take([alert(Priority.MEDIUM, AlertState.CLEARED), alert(Priority.MEDIUM)])
    assert rung(ringer, 20.0, from_s=10.0) == [(10.0, Priority.MEDIUM)]


def test_the_gravest_rings_first_and_the_others_wait_for_its_end() -> None:
    ringer = raise_at_once(Priority.LOW, Priority.HIGH, Priority.MEDIUM)
    order = rung(ringer, 10.0)
    assert [priority for _, priority in order] == [Priority.HIGH, Priority.MEDIUM, Priority.LOW]
    for (began_s, priority), (next_s, _) in itertools.pairwise(order):
        assert next_s > began_s + BELLS_S[priority][-1]


def test_only_a_critical_alert_interrupts() -> None:
    ringer = raise_at_once(Priority.MEDIUM)
    assert ringer.due(0.0) == BELLS_S[Priority.MEDIUM]
    ringer.take([alert(Priority.HIGH)])
    assert ringer.due(0.1) == ()
    ringer.take([alert(Priority.CRITICAL)])
    assert ringer.due(0.2) == BELLS_S[Priority.CRITICAL]


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
    assert ringer.due(5.0) == ()
    ringer.hush(5.0)
    assert ringer.hushed_for_s(5.0) == 0.0
    assert ringer.due(5.0) == BELLS_S[Priority.MEDIUM]


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
