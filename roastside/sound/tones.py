"""Makes samples of a motif."""

from __future__ import annotations

from math import acos, pi

import numpy as np
from numpy.typing import NDArray

from roastside.sound.motifs import Motif, Timbre
from roastside.sound.wav import RATE_HZ

Samples = NDArray[np.float64]

HIGHEST_HZ = 4000.0
"""No harmonic goes above the range of IEC 60601-1-8, table 4."""

RISE_SHARE = 0.15
"""Time from 10 % to 90 % of a pulse's peak, as a share of the pulse; table 4 asks for 10-20 %."""

# A ramp shaped as half a cosine has no corner that could click. It reaches 10 % and 90 % of its
# height at these shares of its length.
_AT_10 = acos(1.0 - 2.0 * 0.1) / pi
_AT_90 = 1.0 - _AT_10


def render(motif: Motif, volume: float = 1.0) -> Samples:
    """The samples of a burst, mono, -1 to 1. volume: 0 to 1, its peak at full level."""
    rhythm = motif.rhythm
    ramp_s = RISE_SHARE * rhythm.pulse_s / (_AT_90 - _AT_10)
    before_s = _AT_90 * ramp_s
    burst = np.zeros(round((rhythm.starts_s[-1] + rhythm.pulse_s + 2.0 * before_s) * RATE_HZ))
    for start_s, pitch_hz in zip(rhythm.starts_s, motif.pitches_hz, strict=True):
        pulse = _pulse(pitch_hz, motif.timbre, rhythm.pulse_s + 2.0 * before_s, ramp_s)
        first = round(start_s * RATE_HZ)
        burst[first : first + len(pulse)] += pulse[: len(burst) - first]
    return burst * (motif.level * min(max(volume, 0.0), 1.0))


def to_int16(samples: Samples) -> bytes:
    """Samples of -1 to 1 as 16-bit numbers, little-endian; what is beyond is cut off."""
    return (np.clip(samples, -1.0, 1.0) * 32767.0).round().astype("<i2").tobytes()


def _pulse(pitch_hz: float, timbre: Timbre, length_s: float, ramp_s: float) -> Samples:
    at_s = np.arange(round(length_s * RATE_HZ)) / RATE_HZ
    wave = np.zeros_like(at_s)
    for n, amplitude in enumerate(timbre.amplitudes, start=1):
        if n * pitch_hz <= HIGHEST_HZ:
            wave += amplitude * np.sin(2.0 * pi * n * pitch_hz * at_s)
    to_edge_s = np.minimum(at_s, length_s - at_s)
    fade = 0.5 - 0.5 * np.cos(pi * np.clip(to_edge_s / ramp_s, 0.0, 1.0))
    peak = float(np.abs(wave).max())
    return wave * fade / peak
