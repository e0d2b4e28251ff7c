"""The grammar of bells, held against the published practice of auditory alarms.

Check values: IEC 60601-1-8:2006 with amendments, tables 3 and 4, recalled from memory: a high
burst is ten pulses, 3 + 2 and again 3 + 2; medium three; low one or two. From one pulse to the
next in a group (pulse and gap): high 125-325 ms, medium 250-500 ms; the gap between three and two
is as if one pulse were left out; the two halves of a high burst are 0.35-1.30 s apart; between
bursts high 2.5-15 s. The pattern of medium and high was also seen
on a page of the University of Sydney's anaesthesia department.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from roastside.core.events import Priority
from roastside.sound.grammar import AGAIN_AFTER_S, APART_S, BURST_S
from roastside.sound.motifs import RHYTHMS

STARTS_S = {priority: rhythm.starts_s for priority, rhythm in RHYTHMS.items()}
LONGEST_PULSE_S = 0.2
SHORTEST_PULSE_S = 0.075


def gaps_s(priority: Priority) -> list[float]:
    return [round(later - one, 3) for one, later in pairwise(STARTS_S[priority])]


def test_every_priority_has_a_burst_of_its_own() -> None:
    assert set(STARTS_S) == set(AGAIN_AFTER_S) == set(APART_S) == set(Priority)
    assert len(set(STARTS_S.values())) == len(Priority)


@pytest.mark.parametrize("priority", Priority)
def test_a_burst_begins_at_once_and_goes_on_in_order(priority: Priority) -> None:
    assert STARTS_S[priority][0] == 0.0
    assert all(gap_s > 0.0 for gap_s in gaps_s(priority))


def test_graver_alerts_have_more_pulses() -> None:
    counts = [len(STARTS_S[priority]) for priority in Priority]
    assert counts == sorted(set(counts))


def test_the_numbers_of_pulses_are_those_of_the_standard() -> None:
    assert len(STARTS_S[Priority.LOW]) in (1, 2)
    assert len(STARTS_S[Priority.MEDIUM]) == 3
    assert len(STARTS_S[Priority.CRITICAL]) == 10


def test_high_is_half_of_what_critical_says_twice() -> None:
    high, critical = STARTS_S[Priority.HIGH], STARTS_S[Priority.CRITICAL]
    again_s = critical[5]
    assert critical[:5] == high
    assert [round(at_s - again_s, 3) for at_s in critical[5:]] == list(high)
    assert again_s - critical[4] - LONGEST_PULSE_S >= 0.35
    assert again_s - critical[4] - SHORTEST_PULSE_S <= 1.30


@pytest.mark.parametrize("priority", [Priority.HIGH, Priority.CRITICAL])
def test_three_then_two_at_the_pace_of_a_high_burst(priority: Priority) -> None:
    first, second, between, third = gaps_s(priority)[:4]
    assert all(0.125 <= gap_s <= 0.325 for gap_s in (first, second, third))
    assert between == 2 * first


def test_three_at_the_slower_pace_of_a_medium_burst() -> None:
    assert all(0.25 <= gap_s <= 0.5 for gap_s in gaps_s(Priority.MEDIUM))


@pytest.mark.parametrize("priority", [Priority.HIGH, Priority.CRITICAL])
def test_bursts_of_grave_alerts_come_again_at_the_pace_of_the_standard(priority: Priority) -> None:
    again_s = AGAIN_AFTER_S[priority]
    assert again_s is not None
    silence_s = again_s - STARTS_S[priority][-1]
    assert silence_s - LONGEST_PULSE_S >= 2.5
    assert silence_s - SHORTEST_PULSE_S <= 15.0


def test_lesser_alerts_are_sounded_once() -> None:
    assert AGAIN_AFTER_S[Priority.LOW] is None
    assert AGAIN_AFTER_S[Priority.MEDIUM] is None


def test_medium_sounds_come_once_a_minute_and_nothing_graver_has_to_wait() -> None:
    assert APART_S[Priority.MEDIUM] == 60.0
    assert APART_S[Priority.HIGH] == APART_S[Priority.CRITICAL] == 0.0


def test_a_burst_lasts_to_the_end_of_its_last_pulse() -> None:
    assert BURST_S[Priority.MEDIUM] == pytest.approx(0.7 + 0.175)
    assert BURST_S[Priority.CRITICAL] == pytest.approx(1.9 + 1.0 + 0.12)
