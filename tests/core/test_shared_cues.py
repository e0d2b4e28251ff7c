"""Changes of the controls that most roasts share."""

from __future__ import annotations

from roastside.core.cues import Cue
from roastside.core.shared_cues import shared_cues


def cues(*said: tuple[float, str]) -> list[Cue]:
    return [Cue(at_s, 0.0, words) for at_s, words in said]


def test_what_more_than_half_did_is_kept_at_the_mean_time() -> None:
    roasts = [
        cues((300.0, "heat to 70 %")),
        cues((310.0, "heat to 70 %"), (400.0, "air to 40 %")),
        cues((350.0, "heat to 75 %")),
    ]
    assert shared_cues(roasts, 600.0) == [(305.0, "heat to 70 %")]


def test_half_is_not_enough() -> None:
    assert shared_cues([cues((300.0, "heat to 70 %")), []], 600.0) == []


def test_the_same_change_made_twice_is_two_cues() -> None:
    twice = cues((200.0, "heat to 70 %"), (300.0, "heat to 80 %"), (400.0, "heat to 70 %"))
    assert [at_s for at_s, _ in shared_cues([twice, twice], 600.0)] == [200.0, 300.0, 400.0]


def test_a_change_made_at_quite_another_time_does_not_count() -> None:
    roasts = [cues((at_s, "heat to 70 %")) for at_s in (200.0, 205.0, 500.0)]
    assert shared_cues(roasts, 600.0) == [(202.5, "heat to 70 %")]
    assert shared_cues(roasts[1:], 600.0) == []


def test_changes_said_as_one_in_one_roast_and_apart_in_another_are_the_same() -> None:
    roasts = [
        cues((300.0, "heat to 70 %, air to 40 %")),
        cues((300.0, "heat to 70 %"), (306.0, "air to 40 %")),
    ]
    assert shared_cues(roasts, 600.0) == [(300.0, "heat to 70 %, air to 40 %")]


def test_a_cue_is_never_later_than_the_end() -> None:
    assert shared_cues([cues((610.0, "heat off"))] * 2, 600.0) == [(600.0, "heat off")]
