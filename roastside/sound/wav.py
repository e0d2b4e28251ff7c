"""WAV files: samples a person can listen to, and any player can play."""

from __future__ import annotations

import wave
from pathlib import Path

from roastside.core.errors import UsageError

RATE_HZ = 48_000
"""Samples a second: what today's sound systems run at, so that nothing need be resampled."""


def write_wav(path: Path, samples: bytes) -> None:
    """Write 16-bit mono samples, little-endian. Raises UsageError where it can not."""
    try:
        with path.open("wb") as file, wave.open(file) as wav:
            wav.setnchannels(1)
            wav.setsampwidth(2)
            wav.setframerate(RATE_HZ)
            wav.writeframes(samples)
    except OSError as error:
        raise UsageError(
            f"{path} cannot be written: {error.strerror}; choose another folder"
        ) from error
