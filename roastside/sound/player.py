"""The face of everything that can play a sound."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from roastside.sound.tone import Tone


@dataclass(frozen=True, slots=True)
class Clip:
    """A sound as a WAV file. seconds: how long it lasts."""

    path: Path
    seconds: float


class Turn(Protocol):
    """One sound, played once."""

    def run(self) -> str:
        """Play it and wait for its end. What went wrong, part of a sentence; empty if nothing."""

    def stop(self) -> None:
        """Break it off, or keep it from starting. From any thread, at any time."""


class Player(Protocol):
    """Plays one sound at a time. All but the turns' `stop` is called from one thread."""

    @property
    def name(self) -> str:
        """What to call it when telling a person."""

    def turn(self, clip: Clip) -> Turn:
        """A turn that plays this."""

    @property
    def follows(self) -> bool:
        """Whether it can sound a tone that goes on."""

    def follow(self, tone: Tone) -> str:
        """Sound this tone from now on, between the sounds. What went wrong; empty if nothing."""

    def trouble(self) -> str:
        """What went wrong since, by itself, with nothing playing; empty if nothing."""

    def close(self) -> None:
        """Let the device go."""
