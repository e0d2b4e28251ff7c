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
from roastside.sound.grammar import AGAIN_AFTER_S, BELLS_S

LONGEST_PULSE_S = 0.2
SHORTEST_PULSE_S = 0.075


def gaps_s(priority: Priority) -> list[float]:
    return [round(later - one, 3) for one, later in pairwise(BELLS_S[priority])]


def test_every_priority_has_a_burst_of_its_own() -> None:
    assert set(BELLS_S) == set(AGAIN_AFTER_S) == set(Priority)
    assert len(set(BELLS_S.values())) == len(Priority)


@pytest.mark.parametrize("priority", Priority)
def test_a_burst_begins_at_once_and_goes_on_in_order(priority: Priority) -> None:
    assert BELLS_S[priority][0] == 0.0
    assert all(gap_s > 0.0 for gap_s in gaps_s(priority))


def test_graver_alerts_have_more_pulses() -> None:
    counts = [len(BELLS_S[priority]) for priority in Priority]
    assert counts == sorted(set(counts))


def test_the_numbers_of_pulses_are_those_of_the_standard() -> None:
    assert len(BELLS_S[Priority.LOW]) in (1, 2)
    assert len(BELLS_S[Priority.MEDIUM]) == 3
    assert len(BELLS_S[Priority.CRITICAL]) == 10


def test_high_is_half_of_what_critical_says_twice() -> None:
    high, critical = BELLS_S[Priority.HIGH], BELLS_S[Priority.CRITICAL]
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
    silence_s = again_s - BELLS_S[priority][-1]
    assert silence_s - LONGEST_PULSE_S >= 2.5
    assert silence_s - SHORTEST_PULSE_S <= 15.0


def test_lesser_alerts_are_sounded_once() -> None:
    assert AGAIN_AFTER_S[Priority.LOW] is None
    assert AGAIN_AFTER_S[Priority.MEDIUM] is None
