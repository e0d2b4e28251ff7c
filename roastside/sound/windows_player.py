"""Plays sounds through Windows, with what Python brings along."""

from __future__ import annotations

from importlib import import_module
from threading import Event
from typing import Any

from roastside.sound.player import Clip
from roastside.sound.tone import Tone


class WindowsPlayer:
    """Python's `winsound`. Give a stand-in for tests elsewhere."""

    name = "Windows"
    follows = False

    def __init__(self, winsound: Any = None) -> None:
        self._winsound = winsound or import_module("winsound")

    def turn(self, clip: Clip) -> _Turn:
        """One sound, in the background of Windows."""
        return _Turn(self._winsound, clip)

    def follow(self, tone: Tone) -> str:
        """Never asked: it plays files only."""
        return "" if tone.level == 0.0 else "Windows cannot sound a tone"

    def trouble(self) -> str:
        """Nothing is held between sounds."""
        return ""

    def close(self) -> None:
        """Nothing is held."""


class _Turn:
    def __init__(self, winsound: Any, clip: Clip) -> None:
        self._winsound = winsound
        self._clip = clip
        self._stopped = Event()

    def run(self) -> str:
        if self._stopped.is_set():
            return ""
        flags = (
            self._winsound.SND_FILENAME | self._winsound.SND_ASYNC | self._winsound.SND_NODEFAULT
        )
        try:
            self._winsound.PlaySound(str(self._clip.path), flags)
            if self._stopped.wait(self._clip.seconds):
                self._winsound.PlaySound(None, 0)
        except RuntimeError as error:
            return f"Windows cannot play sounds: {error}"
        return ""

    def stop(self) -> None:
        self._stopped.set()
