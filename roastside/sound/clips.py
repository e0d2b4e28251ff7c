"""The sounds as files, made when first asked for."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from roastside.core.errors import UsageError
from roastside.sound.motifs import Motif
from roastside.sound.player import Clip
from roastside.sound.wav import RATE_HZ, write_wav

if TYPE_CHECKING:
    from roastside.sound.tones import Samples

_SILENCE_S = 0.1


class Clips:
    """Files in a temporary folder, gone when closed. volume: 0 to 1.

    All methods that give a clip raise UsageError if its file can not be written.
    """

    def __init__(self, volume: float = 1.0) -> None:
        self._volume = volume
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._made: dict[str, Clip] = {}

    def motif(self, motif: Motif) -> Clip:
        """The burst of a motif."""

        def samples() -> Samples:
            from roastside.sound.tones import render

            return render(motif, self._volume)

        return self.clip(motif.name, samples)

    def silence(self) -> Clip:
        """A moment of silence, to find out whether anything can be played."""
        return self._written("silence", lambda: bytes(2 * round(_SILENCE_S * RATE_HZ)))

    def clip(self, name: str, samples: Callable[[], Samples]) -> Clip:
        """The clip of this name; its samples, -1 to 1, are asked for the first time only."""

        def as_bytes() -> bytes:
            # numpy takes long to import and is not on the way to the first screen.
            from roastside.sound.tones import to_int16

            return to_int16(samples())

        return self._written(name, as_bytes)

    def close(self) -> None:
        """Remove the files."""
        self._made.clear()
        if self._folder is not None:
            self._folder.cleanup()
            self._folder = None

    def _written(self, name: str, samples: Callable[[], bytes]) -> Clip:
        if name not in self._made:
            path, data = self._place() / f"{name}.wav", samples()
            write_wav(path, data)
            self._made[name] = Clip(path, len(data) / 2 / RATE_HZ)
        return self._made[name]

    def _place(self) -> Path:
        if self._folder is None:
            try:
                self._folder = tempfile.TemporaryDirectory(
                    prefix="roastside-", ignore_cleanup_errors=True
                )
            except OSError as error:
                raise UsageError(f"there is no room for sounds: {error.strerror}") from error
        return Path(self._folder.name)
