"""Reads WAV files and measures what is in them, apart from what made them."""

from __future__ import annotations

import wave
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Samples = NDArray[np.float64]


@dataclass(frozen=True)
class Pulse:
    """One pulse, between its 90 % points. rise_s, fall_s: between 10 % and 90 %."""

    start_s: float
    end_s: float
    rise_s: float
    fall_s: float

    @property
    def length_s(self) -> float:
        return self.end_s - self.start_s


@dataclass(frozen=True)
class Wav:
    """A WAV file's samples as a share of full scale."""

    samples: Samples
    rate_hz: int

    @classmethod
    def read(cls, path: Path) -> Wav:
        with wave.open(str(path)) as wav:
            assert (wav.getnchannels(), wav.getsampwidth()) == (1, 2)
            data = np.frombuffer(wav.readframes(wav.getnframes()), "<i2")
            return cls(data / 32768.0, wav.getframerate())

    @property
    def peak(self) -> float:
        return float(np.abs(self.samples).max())

    def pulses(self) -> list[Pulse]:
        """The pulses, found in the envelope: the largest sample within 2 ms to either side."""
        reach = round(0.002 * self.rate_hz)
        padded = np.pad(np.abs(self.samples), reach)
        envelope = np.lib.stride_tricks.sliding_window_view(padded, 2 * reach + 1).max(axis=1)
        loud = np.flatnonzero(np.diff(np.pad(envelope > 0.1 * self.peak, 1).astype(int)))
        found = []
        for first, last in loud.reshape(-1, 2):
            high = first + np.flatnonzero(envelope[first:last] >= 0.9 * self.peak)
            times = np.array([high[0], high[-1], high[0] - first, last - 1 - high[-1]])
            found.append(Pulse(*(times / self.rate_hz)))
        return found

    def gaps_s(self) -> list[float]:
        """From the end of each pulse to the start of the next."""
        return [later.start_s - one.end_s for one, later in pairwise(self.pulses())]

    def spectrum(self, from_s: float, to_s: float) -> tuple[Samples, Samples]:
        """Frequencies, Hz, and amplitudes in a stretch of time."""
        part = self.samples[round(from_s * self.rate_hz) : round(to_s * self.rate_hz)]
        size = 1 << 17
        amplitudes = np.abs(np.fft.rfft(part * np.hanning(len(part)), size)) / len(part) * 4.0
        return np.fft.rfftfreq(size, 1.0 / self.rate_hz), amplitudes

    def partials(self, from_s: float, to_s: float) -> list[tuple[float, float]]:
        """Frequency, Hz, and amplitude of all that sounds above 2 % of the strongest."""
        frequencies, amplitudes = self.spectrum(from_s, to_s)
        width = 100.0  # of a partial's main lobe and more, well below the lowest fundamental
        found = []
        left = amplitudes.copy()
        while left.max() > 0.02 * amplitudes.max():
            at = int(left.argmax())
            found.append((float(frequencies[at]), float(left[at])))
            left[np.abs(frequencies - frequencies[at]) < width] = 0.0
        return sorted(found)
