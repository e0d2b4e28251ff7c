"""Makes samples of the tone that follows the roast, without a click."""

from __future__ import annotations

from math import pi

import numpy as np
from numpy.typing import NDArray

from roastside.sound.tone import SILENCE, Tone
from roastside.sound.wav import RATE_HZ

_GLIDE_S = 0.15
_AMPLITUDES = (1.0, 0.3, 0.15)
_INAUDIBLE = 1e-5


class ToneFollower:
    """Glides from what sounded to what should sound; the phase never leaps.

    Pitch and level come within 1/e of their goal in 0.15 s. From silence the pitch starts where
    it should be.
    """

    def __init__(self) -> None:
        self.goal: Tone = SILENCE
        self._pitch_hz = SILENCE.pitch_hz
        self._level = 0.0
        self._phase = 0.0

    def render(self, n_samples: int) -> NDArray[np.float64]:
        """The next samples, mono, -1 to 1, whatever lengths they are asked for in."""
        if self._level < _INAUDIBLE:
            self._level = 0.0
            if self.goal.level == 0.0:
                return np.zeros(n_samples)
            self._pitch_hz = self.goal.pitch_hz
        left = np.exp(-np.arange(1, n_samples + 1) / (_GLIDE_S * RATE_HZ))
        # A silent goal has no pitch of its own: the tone fades where it is.
        goal_hz = self.goal.pitch_hz if self.goal.level > 0.0 else self._pitch_hz
        pitch_hz = goal_hz + (self._pitch_hz - goal_hz) * left
        level = self.goal.level + (self._level - self.goal.level) * left
        phase = self._phase + np.cumsum(pitch_hz) * (2.0 * pi / RATE_HZ)
        if n_samples:
            self._pitch_hz, self._level = float(pitch_hz[-1]), float(level[-1])
            self._phase = float(phase[-1] % (2.0 * pi))
        wave = np.zeros(n_samples)
        for n, amplitude in enumerate(_AMPLITUDES, start=1):
            wave += amplitude * np.sin(n * phase)
        return level * wave / sum(_AMPLITUDES)
