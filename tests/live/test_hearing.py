"""What is heard of a roast: which alert sounds, is told in words, and is sent out, and when."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from roastside.core.events import Alert, AlertState, Priority, Summary
from roastside.live.hearing import SPOKEN_AGAIN_S, Hearing, Scene
from roastside.live.outlets import Outlets
from roastside.live.sound_settings import SoundSettings
from roastside.sound.player import Clip, Turn
from roastside.sound.players import Found
from roastside.sound.ringer import CRITICAL_HUSH_S, HUSH_S
from roastside.sound.sound_queue import SoundQueue
from roastside.sound.tone import SILENCE, Tone, tone_at

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.live.earshot import CUE, DANGER, DRIFT, DROP, FIRE, SPIKES, Earshot, alert, over
from tests.sound.stand_ins import HANG, PATIENCE_S

SUMMARY = Summary(700.0, 600.0, 600.0, {}, {}, None, None, None)

Open = Callable[..., Earshot]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Open]:
    """Opens an Earshot and sees to its end."""
    all_opened: list[Earshot] = []

    def open_one(choice: SoundSettings | None = None, **more: Any) -> Earshot:
        made = Earshot(tmp_path, choice, **more)
        all_opened.append(made)
        return made.start()

    yield open_one
    for each in all_opened:
        each.close()


MORE_HEAT = "more heat: three point two degrees low"


def test_an_alert_sounds_and_its_words_follow_the_sound(opened: Open) -> None:
    here = opened()
    here.hear(DRIFT)
    assert (here.played, here.spoken) == (["behind-medium"], []), "not over its own sound"
    here.hear(later_s=1.0)
    assert (here.played, here.spoken) == (["behind-medium"], [MORE_HEAT])
    here.hear(later_s=1.0)
    assert (here.spoken, here.told) == ([MORE_HEAT], [])


def test_it_is_told_in_the_words_of_the_moment(opened: Open) -> None:
    here = opened(scene=Scene(words=lambda alert: f"{alert.message} still"))
    here.hear(DROP, later_s=2.0)
    assert here.spoken == ["drop now still"]


@pytest.mark.parametrize("state", [AlertState.CLEARED, AlertState.ACKNOWLEDGED])
def test_what_is_over_or_seen_before_its_words_is_not_told(opened: Open, state: AlertState) -> None:
    here = opened()
    here.hear(DROP)
    here.hear(over(DROP, state), later_s=30.0)
    assert (here.played, here.spoken) == (["milestone-high"], [])


def test_low_alerts_only_sound_but_for_cues(opened: Open) -> None:
    here = opened()
    here.hear(SPIKES, later_s=5.0)
    assert (here.played, here.spoken) == (["probe-low"], [])
    here.hear(CUE, later_s=5.0)
    assert here.spoken == ["heat to seventy percent in fifteen seconds"]
    here.hear(over(CUE), replace(CUE, message="air to 40 % in 15 seconds"), later_s=5.0)
    assert here.spoken[1:] == ["air to forty percent in fifteen seconds"]
    assert here.played == ["probe-low", "milestone-low", "milestone-low"]


def test_speech_begins_at_the_priority_that_is_set(opened: Open) -> None:
    here = opened(SoundSettings(speech_from="high"))
    here.hear(DRIFT, later_s=5.0)
    here.hear(DROP, later_s=5.0)
    assert (here.played, here.spoken) == (["behind-medium", "milestone-high"], ["drop now"])


def test_without_sound_only_danger_rings_and_without_speech_nothing_is_said(opened: Open) -> None:
    here = opened(SoundSettings(on=False, speech=False))
    here.hear(DRIFT, DROP, SPIKES, later_s=5.0)
    here.hear(FIRE, later_s=5.0)
    here.hearing.say("nobody asked")
    here.wait()
    assert (here.bells, here.spoken, here.played) == (["safety-critical"], [], [])


def test_without_sound_the_words_are_still_said(opened: Open) -> None:
    here = opened(SoundSettings(on=False))
    here.hear(DRIFT, later_s=5.0)
    assert (here.bells, here.spoken) == ([], [MORE_HEAT])


def test_a_critical_alert_breaks_off_what_is_said(opened: Open) -> None:
    here = opened(doings={"espeak-ng": f"if 'status' in entry['stdin']: {HANG}"})
    here.hearing.say("a long status")
    here.programs["espeak-ng"].wait_for_runs(2)
    here.hear(FIRE, later_s=4.0)
    assert here.spoken == ["a long status", DANGER]
    assert here.told == []


def test_an_alert_that_sounds_again_and_again_is_told_in_words_more_rarely(opened: Open) -> None:
    here = opened()
    for _ in range(45):
        here.hear(FIRE, later_s=1.0)
    assert len(here.played) >= 6
    assert here.spoken == [DANGER, DANGER]
    assert SPOKEN_AGAIN_S < 45.0 < 2.0 * SPOKEN_AGAIN_S


def test_one_medium_sound_a_minute_and_what_is_not_sounded_is_not_told(opened: Open) -> None:
    here = opened()
    here.hear(DRIFT, alert("stall", Priority.MEDIUM, "the roast stalls"), later_s=55.0)
    assert (here.played, here.spoken) == (["behind-medium"], [MORE_HEAT])
    here.hear(over(DRIFT), later_s=5.0)
    here.hear(later_s=5.0)
    assert here.played == ["behind-medium", "behind-medium"]
    assert here.spoken == [MORE_HEAT, "the roast stalls"]


def test_command_and_notices_get_what_reaches_their_priority_once(opened: Open) -> None:
    here = opened(SoundSettings(notices_from="critical"))
    here.hear(DRIFT, DROP, over(DROP, AlertState.ACKNOWLEDGED), over(DROP), FIRE)
    assert sorted(here.commanded) == ["development_target: drop now", f"{FIRE.alert}: {DANGER}"]
    assert here.notified == [["roast: over temperature", DANGER]]


def test_a_hush_silences_sound_and_speech_counts_down_and_lets_danger_through(
    opened: Open,
) -> None:
    here = opened()
    here.hear(DROP)
    here.hearing.hush()
    assert here.hearing.hushed_for_s() == HUSH_S
    here.hear(DRIFT, FIRE, later_s=CRITICAL_HUSH_S - 1.0)
    assert here.hearing.hushed_for_s() == HUSH_S - CRITICAL_HUSH_S + 1.0
    assert (here.played, here.spoken) == (["milestone-high"], [])
    here.hear(later_s=1.0)
    assert here.played == ["milestone-high", "safety-critical"]
    here.hear(later_s=4.0)
    assert here.spoken == [DANGER]


def test_who_asks_in_a_hush_is_answered(opened: Open) -> None:
    here = opened()
    here.hearing.hush()
    here.hearing.say("six minutes ten")
    here.wait()
    assert here.spoken == ["six minutes ten"]


def test_the_status_is_said_every_so_often_and_not_through_a_hush(opened: Open) -> None:
    here = opened(SoundSettings(status_every_s=30), scene=Scene(status=lambda: "six minutes ten"))
    here.hear(later_s=29.0)
    assert here.spoken == []
    here.hear(later_s=1.0)
    assert here.spoken == ["six minutes ten"]
    here.hearing.hush()
    here.hear(later_s=31.0)
    assert here.spoken == ["six minutes ten"]
    here.hear(later_s=31.0)
    assert here.spoken == ["six minutes ten"] * 2


def test_with_the_roast_all_of_it_ends(opened: Open) -> None:
    here = opened(SoundSettings(status_every_s=15), scene=Scene(status=lambda: "still"))
    here.hear(FIRE)
    here.hear(SUMMARY)
    for _ in range(4):
        here.hear(later_s=15.0)
    assert (here.played, here.spoken) == (["safety-critical"], [])


class Following:
    """A player that takes note of the tones it is to sound."""

    name = "following"
    follows = True

    def __init__(self) -> None:
        self.tones: list[Tone] = []

    def turn(self, clip: Clip) -> Turn:
        return self

    def run(self) -> str:
        return ""

    def stop(self) -> None:
        pass

    def follow(self, tone: Tone) -> str:
        self.tones.append(tone)
        return ""

    def trouble(self) -> str:
        return ""

    def close(self) -> None:
        pass


@pytest.mark.parametrize("wanted", [True, False])
def test_the_tone_follows_the_roast_if_wanted_and_is_silent_in_a_hush(wanted: bool) -> None:
    player, now = Following(), Scene(tone=lambda: tone_at(-2.0))
    told: list[str] = []
    sounds = SoundQueue(told.append, lambda _: None, found=Found((player,)), silenced=lambda: False)
    hearing = Hearing(SoundSettings(tone=wanted), Outlets(sounds), told.append, now, lambda: 0.0)
    sounds.start()
    steps: list[Callable[[], None]] = [lambda: None, hearing.hush, hearing.hush]
    for step in (*steps, lambda: hearing([SUMMARY])):
        step()
        hearing.look()
        assert sounds.wait(PATIENCE_S)
    assert sounds.stop()
    off = tone_at(-2.0)
    assert player.tones == ([off, SILENCE, off, SILENCE] if wanted else [])
    assert told == []


def test_a_stumble_of_ours_is_told_once_and_the_rest_goes_on(opened: Open) -> None:
    def words(alert: Alert) -> str:
        raise ZeroDivisionError("oh")

    here = opened(scene=Scene(words=words))
    here.hear(DROP, later_s=2.0)
    here.hear(FIRE, later_s=4.0)
    assert here.played == ["milestone-high", "safety-critical"]
    assert here.told == ["sound: roastside stumbled (ZeroDivisionError: oh)"]
    assert len(here.commanded) == 2
