"""The tone that follows the roast: which, and that it never clicks."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.events import Sample
from roastside.core.plan import RoastPlan
from roastside.core.readings import Stage
from roastside.sound.follower import ToneFollower
from roastside.sound.tone import LEVEL, SILENCE, Tone, tone_at, tone_for
from roastside.sound.tones import to_int16
from roastside.sound.wav import RATE_HZ
from tests.sound.wav_reading import Samples, Wav

PLAN = RoastPlan(tolerance_c=2.0, tolerance_s=10.0)
SAMPLE = Sample(100.0, 90.0, 150.0, None, 9.0, 0.2, Stage.BROWNING)


def render(*goals: tuple[Tone, float]) -> Samples:
    """One follower's samples for goals, each with how long it stands, seconds."""
    follower = ToneFollower()
    parts = []
    for goal, seconds in goals:
        follower.goal = goal
        parts.append(follower.render(round(seconds * RATE_HZ)))
    return np.concatenate(parts)


@pytest.mark.parametrize(
    ("deviation_c", "ahead_s"),
    [(None, None), (0.0, 0.0), (2.0, -10.0), (-1.99, 9.99), (float("nan"), None)],
)
def test_silence_means_fine(deviation_c: float | None, ahead_s: float | None) -> None:
    assert tone_for(replace(SAMPLE, deviation_c=deviation_c, ahead_s=ahead_s), PLAN) == SILENCE


@pytest.mark.parametrize(
    ("deviation_c", "ahead_s", "high"),
    [(3.0, 1.0, True), (-3.0, -1.0, False), (1.0, 15.0, True), (None, -15.0, False)],
)
def test_the_tone_is_high_ahead_and_low_behind(
    deviation_c: float | None, ahead_s: float, high: bool
) -> None:
    tone = tone_for(replace(SAMPLE, deviation_c=deviation_c, ahead_s=ahead_s), PLAN)
    assert tone.level > 0.0
    assert (tone.pitch_hz > 440.0) is high


def test_high_and_low_are_more_than_an_octave_apart() -> None:
    assert tone_at(1.001).pitch_hz > 2.0 * tone_at(-1.001).pitch_hz


@given(st.floats(1.0, 100.0), st.floats(1.0, 100.0), st.sampled_from([-1.0, 1.0]))
def test_farther_is_farther_from_the_middle_and_never_loud(
    one: float, other: float, side: float
) -> None:
    near, far = sorted((one, other))
    near_tone, far_tone = tone_at(side * near), tone_at(side * far)
    if near_tone.level > 0.0:
        assert abs(np.log(far_tone.pitch_hz / 440.0)) >= abs(np.log(near_tone.pitch_hz / 440.0))
    assert 0.0 <= near_tone.level <= far_tone.level <= LEVEL <= 0.1
    assert 200.0 <= far_tone.pitch_hz <= 1000.0


def test_the_tone_fades_in_from_the_edge_of_the_corridor() -> None:
    assert tone_at(1.0).level == 0.0
    assert 0.0 < tone_at(1.01).level < 0.05 * LEVEL


def test_a_tone_has_its_pitch_and_level() -> None:
    sound = Wav(render((Tone(300.0, 0.08), 3.0)), RATE_HZ)
    assert sound.partials(2.0, 3.0)[0][0] == pytest.approx(300.0, rel=0.002)
    later = sound.samples[2 * RATE_HZ :]
    assert 0.6 * 0.08 < np.abs(later).max() <= 0.08


def test_silence_is_nothing_at_all() -> None:
    assert not render((SILENCE, 1.0)).any()
    assert not any(to_int16(render((Tone(300.0, 0.08), 1.0), (SILENCE, 5.0))[-RATE_HZ:]))


GOALS = st.lists(
    st.tuples(
        st.sampled_from([SILENCE, Tone(220.0, 0.08), Tone(880.0, 0.08), Tone(700.0, 0.01)]),
        st.floats(0.001, 0.2),
    ),
    min_size=1,
    max_size=6,
)


@given(GOALS)
def test_whatever_it_follows_it_never_clicks(goals: list[tuple[Tone, float]]) -> None:
    """No step from sample to sample is larger than the steepest tone itself makes.

    That is the sum of the partials' slopes, 2 pi n f a, at the highest pitch and level, and what
    the level may gain on its way up.
    """
    samples = render(*goals)
    steepest = 2.0 * np.pi * 880.0 * (1.0 + 2 * 0.3 + 3 * 0.15) / 1.45 * 0.08 / RATE_HZ
    gain = 0.08 / 0.15 / RATE_HZ
    assert np.abs(np.diff(samples, prepend=0.0)).max() <= steepest + gain


@given(GOALS, st.lists(st.integers(0, 500), min_size=1, max_size=20))
def test_it_sounds_the_same_in_whatever_pieces_it_is_asked_for(
    goals: list[tuple[Tone, float]], pieces: list[int]
) -> None:
    follower, whole = ToneFollower(), render((goals[0][0], 0.1), (goals[-1][0], 0.1))
    follower.goal = goals[0][0]
    half = len(whole) // 2
    parts = [follower.render(n) for n in _filled(pieces, half)]
    follower.goal = goals[-1][0]
    parts += [follower.render(n) for n in _filled(pieces, half)]
    assert np.allclose(np.concatenate(parts), whole, atol=2e-5)


def _filled(pieces: list[int], total: int) -> list[int]:
    """The pieces, cut short or filled up to a total."""
    found: list[int] = []
    for piece in pieces:
        found.append(min(piece, total - sum(found)))
    return [*found, total - sum(found)]


def test_no_tone_for_seconds_that_are_not_sure() -> None:
    off = replace(SAMPLE, deviation_c=0.5, ahead_s=-12.0)
    assert tone_for(replace(off, ahead_sd_s=3.0), PLAN) == SILENCE
    assert tone_for(replace(off, ahead_sd_s=0.5), PLAN) != SILENCE
