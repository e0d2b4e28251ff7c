"""Whether a sound would be heard: asked of the system's volume control.

The answers of `pactl` were seen with PulseAudio 16.1; those of the others are from memory.
"""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from roastside.sound.unheard import by_ssh, muted

if sys.platform == "win32":
    pytest.skip("the stand-in programs start by their first line", allow_module_level=True)

from tests.sound.stand_ins import StandIn


@pytest.mark.parametrize(
    ("platform", "program", "answer", "off"),
    [
        ("linux", "wpctl", "Volume: 0.40", False),
        ("linux", "wpctl", "Volume: 0.40 [MUTED]", True),
        ("linux", "wpctl", "Volume: 0.00", True),
        ("linux", "pactl", "Mute: no", False),
        ("linux", "pactl", "Mute: yes", True),
        ("linux", "amixer", "  Front Left: Playback 40 [62%] [on]", False),
        ("linux", "amixer", "  Front Left: Playback 40 [62%] [off]", True),
        ("darwin", "osascript", "output volume:50, input volume:0, output muted:false", False),
        ("darwin", "osascript", "output volume:50, input volume:50, output muted:true", True),
        ("darwin", "osascript", "output volume:0, input volume:50, output muted:false", True),
    ],
)
def test_what_the_volume_control_says(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    platform: str,
    program: str,
    answer: str,
    off: bool,
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    stand_in = StandIn(tmp_path, program, f"print({answer!r})")
    assert muted(platform) is off
    assert len(stand_in.runs) == 1


def test_one_that_fails_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    StandIn(tmp_path, "wpctl", "print('[MUTED]'); sys.exit(1)")
    StandIn(tmp_path, "pactl", "print('Mute: no')")
    assert not muted("linux")


def test_one_that_hangs_is_ended(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    monkeypatch.setattr("roastside.sound.unheard._LIMIT_S", 3.0)
    StandIn(tmp_path, "wpctl", "time.sleep(600)")
    StandIn(tmp_path, "pactl", "print('Mute: yes')")
    assert muted("linux")


@pytest.mark.parametrize("platform", ["linux", "darwin", "win32"])
def test_where_nobody_can_tell_it_is_not_taken_for_turned_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, platform: str
) -> None:
    monkeypatch.setenv("PATH", str(tmp_path))
    assert not muted(platform)


@pytest.mark.parametrize(
    ("environment", "far"),
    [
        ({}, False),
        ({"SSH_CONNECTION": ""}, False),
        ({"SSH_AUTH_SOCK": "/run/agent"}, False),
        ({"SSH_CONNECTION": "10.0.0.2 50000 10.0.0.3 22"}, True),
        ({"SSH_TTY": "/dev/pts/1"}, True),
    ],
)
def test_who_is_connected_by_ssh_sits_elsewhere(environment: dict[str, str], far: bool) -> None:
    assert by_ssh(environment) is far
