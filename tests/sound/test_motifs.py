"""Every alert has a sound, and no two kinds of alert the same."""

from __future__ import annotations

import pytest

from roastside.core.advice import all_rules
from roastside.core.alerts import Rule
from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.core.plan import RoastPlan
from roastside.sound.motifs import MEANINGS, MOTIFS, RHYTHMS, Kind, motif_for


def alert(name: str, family: Family, priority: Priority = Priority.MEDIUM) -> Alert:
    return Alert(0.0, None, name, family, priority, AlertState.RAISED, "look")


RULES = all_rules(RoastPlan())

LOW_SIDE = {
    "below_reference",
    "leaving_low",
    "behind_reference",
    "rate_low",
    "stall",
    "sudden_fall",
}
HIGH_SIDE = {"above_reference", "leaving_high", "ahead_of_reference", "rate_high", "rebound"}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.alert)
def test_every_rule_has_a_sound_with_a_meaning(rule: Rule) -> None:
    motif = motif_for(alert(rule.alert, rule.family, rule.priority))
    assert (motif.kind, motif.priority) in MEANINGS


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.alert)
def test_what_is_low_falls_what_is_high_rises_and_nothing_else_sounds_like_them(rule: Rule) -> None:
    motif = motif_for(alert(rule.alert, rule.family, rule.priority))
    first_hz, then_hz = motif.pitches_hz[:2]
    assert (motif.kind is Kind.BEHIND) == (rule.alert in LOW_SIDE)
    assert (motif.kind is Kind.AHEAD) == (rule.alert in HIGH_SIDE)
    if rule.family is Family.DEVIATION:
        assert rule.alert in LOW_SIDE | HIGH_SIDE, "a departure has a side"
    if rule.alert in LOW_SIDE:
        assert then_hz < first_hz
        assert "more heat" in motif.meaning
    if rule.alert in HIGH_SIDE:
        assert then_hz > first_hz
        assert "less heat" in motif.meaning


def test_no_sound_is_without_a_rule() -> None:
    used = {motif_for(alert(rule.alert, rule.family, rule.priority)) for rule in RULES}
    assert used == set(MOTIFS)


def test_no_two_sounds_are_alike() -> None:
    heard = {(motif.pitches_hz, motif.rhythm, motif.timbre) for motif in MOTIFS}
    assert len(heard) == len(MOTIFS)
    assert len({motif.name for motif in MOTIFS}) == len(MOTIFS)
    assert len(set(MEANINGS.values())) == len(MEANINGS)


@pytest.mark.parametrize("family", Family)
@pytest.mark.parametrize("priority", Priority)
def test_an_alert_of_another_version_has_a_sound_of_its_priority(
    family: Family, priority: Priority
) -> None:
    motif = motif_for(alert("unheard_of", family, priority))
    assert motif.priority is priority
    assert motif.meaning
    assert len(motif.pitches_hz) == len(RHYTHMS[priority].starts_s)


def test_pulses_lie_within_those_of_a_signal_chip() -> None:
    """TI DAC53701 data sheet, medical alarm mode: high 80-150 ms, medium and low 130-200 ms."""
    for priority, rhythm in RHYTHMS.items():
        grave = priority in (Priority.HIGH, Priority.CRITICAL)
        low_s, high_s = (0.080, 0.150) if grave else (0.130, 0.200)
        assert low_s <= rhythm.pulse_s <= high_s
