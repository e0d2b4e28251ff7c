"""Bursts and the tone in one stream."""

from __future__ import annotations

import numpy as np

from roastside.sound.mixer import Mixer
from roastside.sound.tone import Tone
from roastside.sound.wav import RATE_HZ
from tests.sound.wav_reading import Samples

PIECE = 480
LEVEL = 0.5


class Told:
    """A mixer and what it told."""

    def __init__(self) -> None:
        self.words: list[str] = []
        self.mixer = Mixer(lambda: self.words.append("began"), lambda: self.words.append("done"))

    def render(self, pieces: int) -> Samples:
        return np.concatenate([self.mixer.render(PIECE) for _ in range(pieces)])


def burst(pieces: float, sign: float = 1.0) -> Samples:
    return np.full(round(PIECE * pieces), sign * LEVEL)


def test_nothing_is_silence() -> None:
    told = Told()
    assert not told.render(3).any()
    assert told.words == []


def test_a_burst_sounds_at_once_and_whole_and_its_beginning_and_end_are_told() -> None:
    told = Told()
    told.mixer.play(burst(2.5))
    assert np.array_equal(told.render(1), burst(1))
    assert told.words == ["began"]
    assert np.array_equal(told.render(2), np.concatenate((burst(1.5), np.zeros(PIECE // 2))))
    assert told.words == ["began", "done"]
    assert not told.render(2).any()
    assert told.words == ["began", "done"]


def test_a_burst_broken_off_fades_and_is_done() -> None:
    told = Told()
    told.mixer.play(burst(100))
    told.render(2)
    told.mixer.stop()
    rest = told.render(3)
    assert told.words == ["began", "done"]
    assert np.abs(np.diff(rest, prepend=LEVEL, append=0.0)).max() < 0.01 * LEVEL
    assert not rest[-PIECE:].any()


def test_stopping_nothing_tells_nothing() -> None:
    told = Told()
    told.mixer.stop()
    assert not told.render(2).any()
    assert told.words == []


def test_a_burst_takes_the_place_of_another() -> None:
    told = Told()
    told.mixer.play(burst(100))
    told.render(2)
    told.mixer.play(burst(2, sign=-1.0))
    taken = told.render(3)
    assert taken[0] == 0.0  # the old one, not yet faded, and the new one
    assert np.array_equal(taken[PIECE : 2 * PIECE], burst(1, sign=-1.0))
    assert not taken[2 * PIECE :].any()
    assert told.words == ["began", "began", "done"]


def test_an_empty_burst_is_done_at_once() -> None:
    told = Told()
    told.mixer.play(np.zeros(0))
    assert not told.render(1).any()
    assert told.words == ["done"]


def test_the_tone_makes_way_for_a_burst_and_comes_back() -> None:
    told = Told()
    told.mixer.follow(Tone(300.0, 0.08))
    seconds = RATE_HZ // PIECE
    assert np.abs(told.render(seconds)[-RATE_HZ // 2 :]).max() > 0.04
    told.mixer.play(np.zeros(3 * RATE_HZ))
    assert np.abs(told.render(3 * seconds)[-RATE_HZ:]).max() < 0.001
    assert np.abs(told.render(seconds)[-RATE_HZ // 2 :]).max() > 0.04
