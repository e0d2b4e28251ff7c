"""Plays sounds with a program that the system brings along."""

from __future__ import annotations

import shutil
import sys

from roastside.sound.player import Clip
from roastside.sound.program import Program
from roastside.sound.tone import Tone

PATIENCE_S = 3.0
"""How much longer than the sound a program may take, before it counts as hung."""


class SystemPlayer:
    """A program that plays a WAV file and then ends. path: where it is."""

    follows = False

    def __init__(self, name: str, path: str) -> None:
        self.name = name
        self._path = path

    def turn(self, clip: Clip) -> _Turn:
        """A run of the program."""
        arguments = [self._path, *_OPTIONS.get(self.name, ()), str(clip.path)]
        return _Turn(self.name, Program(arguments, clip.seconds + PATIENCE_S))

    def follow(self, tone: Tone) -> str:
        """Never asked: a program that plays files can not do that."""
        return "" if tone.level == 0.0 else f"{self.name} cannot sound a tone"

    def trouble(self) -> str:
        """Between sounds nothing runs, so nothing can go wrong."""
        return ""

    def close(self) -> None:
        """Nothing is held."""


class _Turn:
    def __init__(self, name: str, program: Program) -> None:
        self._name = name
        self._program = program

    def run(self) -> str:
        return self._program.run().trouble(self._name)

    def stop(self) -> None:
        self._program.stop()


def find_system_players(platform: str = sys.platform) -> list[SystemPlayer]:
    """All players of this system that are installed, the one to try first first."""
    found = ((name, shutil.which(name)) for name in _BY_PLATFORM.get(platform, _ELSEWHERE))
    return [SystemPlayer(name, path) for name, path in found if path is not None]


_OPTIONS = {"aplay": ("-q",)}

_BY_PLATFORM: dict[str, tuple[str, ...]] = {"darwin": ("afplay",), "win32": ()}
_ELSEWHERE = ("pw-play", "paplay", "aplay")
