"""Where nothing is heard, that is told as one thing."""

from __future__ import annotations

import pytest

from roastside.sound.players import NO_PLAYER
from roastside.sound.quiet import ONE_CAUSE_S, Quiet
from roastside.sound.speech import NO_VOICE

NO_DEVICE = "no sound: aplay failed (exit code 1): no such device; the terminal bell rings instead"
NOT_SPOKEN = "not spoken: espeak-ng failed: No such file or directory; check the sound device"


class Shown:
    """What a person sees: one line for each topic, and lines that stand by themselves."""

    def __init__(self) -> None:
        self.now_s = 1000.0
        self.topics: dict[str, str] = {}
        self.alone: list[str] = []
        self.quiet = Quiet(self.show, lambda: self.now_s)

    def show(self, words: str, topic: str) -> None:
        if topic:
            self.topics[topic] = words
        else:
            self.alone.append(words)

    @property
    def lines(self) -> list[str]:
        return [*self.topics.values(), *self.alone]


def test_one_trouble_is_told_at_once_and_as_it_is() -> None:
    shown = Shown()
    shown.quiet.no_sound(NO_DEVICE)
    assert shown.lines == [NO_DEVICE]
    spoken = Shown()
    spoken.quiet.no_speech(NOT_SPOKEN)
    assert spoken.lines == [NOT_SPOKEN]


@pytest.mark.parametrize(
    ("sound", "speech", "to_do"),
    [
        (NO_DEVICE, NOT_SPOKEN, "check the sound device"),
        (NO_PLAYER, NOT_SPOKEN, "check the sound device and pip install 'roastside[sound]'"),
        (NO_DEVICE, NO_VOICE, "check the sound device and install espeak-ng"),
        (NO_PLAYER, NO_VOICE, "install espeak-ng and pip install 'roastside[sound]'"),
    ],
)
def test_both_are_one_line_whichever_comes_first(sound: str, speech: str, to_do: str) -> None:
    for speech_first in (True, False):
        shown = Shown()
        if speech_first:
            shown.quiet.no_speech(speech)
        shown.quiet.no_sound(sound)
        shown.now_s += ONE_CAUSE_S
        if not speech_first:
            shown.quiet.no_speech(speech)
        assert shown.lines == [f"only the terminal bell is heard: {to_do}"]


def test_what_fails_much_later_is_another_matter() -> None:
    shown = Shown()
    shown.quiet.no_sound(NO_DEVICE)
    shown.now_s += ONE_CAUSE_S + 1.0
    shown.quiet.no_speech(NOT_SPOKEN)
    assert shown.lines == [NO_DEVICE, NOT_SPOKEN]


def test_that_sounds_play_again_takes_the_place_of_the_trouble_and_a_new_one_its_place() -> None:
    shown = Shown()
    shown.quiet.no_sound(NO_DEVICE)
    shown.quiet.sound_again("sounds play again")
    assert shown.lines == ["sounds play again"]
    shown.quiet.no_sound(NO_DEVICE)
    assert shown.lines == [NO_DEVICE]
    shown.quiet.sound_again("sounds play again")
    shown.quiet.no_speech(NOT_SPOKEN)
    assert shown.lines == [NOT_SPOKEN]
