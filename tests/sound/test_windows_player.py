"""Sounds through Windows, held against a stand-in for Python's `winsound`.

The constants and what PlaySound raises: Python's documentation of winsound.
"""

from __future__ import annotations

import threading
from pathlib import Path

from roastside.sound.player import Clip
from roastside.sound.windows_player import WindowsPlayer

PATIENCE_S = 30.0


class Winsound:
    """Keeps what it is told to play."""

    SND_ASYNC, SND_NODEFAULT, SND_FILENAME = 0x1, 0x2, 0x20000

    def __init__(self, works: bool = True) -> None:
        self.calls: list[tuple[str | None, int]] = []
        self.works = works
        self.called = threading.Event()

    def PlaySound(self, sound: str | None, flags: int) -> None:
        self.calls.append((sound, flags))
        self.called.set()
        if not self.works:
            raise RuntimeError("Failed to play sound")


def test_a_sound_is_played_in_the_background_and_waited_for(tmp_path: Path) -> None:
    winsound = Winsound()
    assert WindowsPlayer(winsound).turn(Clip(tmp_path / "x.wav", 0.01)).run() == ""
    assert winsound.calls == [(str(tmp_path / "x.wav"), 0x20003)]


def test_a_sound_is_broken_off(tmp_path: Path) -> None:
    winsound = Winsound()
    turn = WindowsPlayer(winsound).turn(Clip(tmp_path / "x.wav", 600.0))
    troubles: list[str] = []
    thread = threading.Thread(target=lambda: troubles.append(turn.run()))
    thread.start()
    assert winsound.called.wait(PATIENCE_S)
    turn.stop()
    thread.join(PATIENCE_S)
    assert troubles == [""]
    assert winsound.calls[1:] == [(None, 0)]


def test_a_sound_stopped_before_it_began_is_not_played(tmp_path: Path) -> None:
    winsound = Winsound()
    turn = WindowsPlayer(winsound).turn(Clip(tmp_path / "x.wav", 600.0))
    turn.stop()
    assert turn.run() == ""
    assert winsound.calls == []


def test_without_a_device_it_is_told(tmp_path: Path) -> None:
    player = WindowsPlayer(Winsound(works=False))
    assert player.turn(Clip(tmp_path / "x.wav", 0.01)).run() == (
        "Windows cannot play sounds: Failed to play sound"
    )
