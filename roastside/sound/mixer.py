"""What a sound device is given next: a burst, and under it the tone that follows the roast."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from roastside.sound.follower import ToneFollower
from roastside.sound.tone import SILENCE, Tone
from roastside.sound.wav import RATE_HZ

_CUT_S = 0.01

_Samples = NDArray[np.float64]
_NOTHING: _Samples = np.zeros(0)


class Mixer:
    """Joins sounds to one stream. Safe to use from two threads.

    began, done: told, from within `render`, of the first sample of a burst and of its end.
    """

    def __init__(self, began: Callable[[], None], done: Callable[[], None]) -> None:
        self._began = began
        self._done = done
        self._lock = Lock()
        self._burst = _NOTHING
        self._at = 0
        self._playing = False
        self._tail = _NOTHING
        self._tone = SILENCE
        self._follower = ToneFollower()

    def play(self, samples: _Samples) -> None:
        """Sound a burst from the next sample on, in place of what sounds. Samples of -1 to 1."""
        with self._lock:
            self._cut()
            self._burst, self._at, self._playing = samples, 0, True

    def stop(self) -> None:
        """Break off the burst, so softly that it does not click; it is done then."""
        with self._lock:
            self._cut()
            self._burst, self._at = _NOTHING, 0

    def follow(self, tone: Tone) -> None:
        """Sound this tone from now on; it is silent while a burst sounds."""
        with self._lock:
            self._tone = tone

    def render(self, n_samples: int) -> _Samples:
        """The next samples, mono, -1 to 1."""
        with self._lock:
            tone, playing = self._tone, self._playing
            first, burst = self._at, self._burst[self._at : self._at + n_samples]
            self._at += len(burst)
            tail, self._tail = self._tail[:n_samples], self._tail[n_samples:]
            over = playing and self._at >= len(self._burst)
            self._playing = playing and not over
        self._follower.goal = replace(tone, level=0.0) if playing else tone
        mixed = self._follower.render(n_samples)
        mixed[: len(burst)] += burst
        mixed[: len(tail)] += tail
        if playing and first == 0 and len(burst):
            self._began()
        if over:
            self._done()
        return mixed

    def _cut(self) -> None:
        rest = self._burst[self._at : self._at + round(_CUT_S * RATE_HZ)]
        self._tail = rest * np.linspace(1.0, 0.0, len(rest))
