"""Every alert has a sound, and no two kinds of alert the same."""

from __future__ import annotations

import pytest

from roastside.core.advice import rules_for
from roastside.core.alerts import Rule
from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.core.plan import RoastPlan
from roastside.sound.motifs import MEANINGS, MOTIFS, RHYTHMS, Kind, motif_for


def alert(name: str, family: Family, priority: Priority = Priority.MEDIUM) -> Alert:
    return Alert(0.0, None, name, family, priority, AlertState.RAISED, "look")


@pytest.mark.parametrize("rule", rules_for(RoastPlan()), ids=lambda rule: rule.alert)
def test_every_rule_has_a_sound_with_a_meaning(rule: Rule) -> None:
    motif = motif_for(alert(rule.alert, rule.family, rule.priority))
    assert (motif.kind, motif.priority) in MEANINGS


def test_no_two_sounds_are_alike() -> None:
    heard = {(motif.pitches_hz, motif.rhythm, motif.timbre) for motif in MOTIFS}
    assert len(heard) == len(MOTIFS)
    assert len({motif.name for motif in MOTIFS}) == len(MOTIFS)
    assert len(set(MEANINGS.values())) == len(MEANINGS)


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("below_reference", Kind.BEHIND),
        ("behind_reference", Kind.BEHIND),
        ("above_reference", Kind.AHEAD),
        ("ahead_of_reference", Kind.AHEAD),
        ("first_crack_soon", Kind.MILESTONE),
    ],
)
def test_the_side_of_the_reference_is_heard(name: str, kind: Kind) -> None:
    assert motif_for(alert(name, Family.TIMING)).kind is kind


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
