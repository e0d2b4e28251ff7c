"""Whether the system would let a sound be heard: asks its volume control."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass

BY_SSH = (
    "you are connected by SSH, and sounds would play on the other machine: the terminal bell rings "
    "instead; for sounds, run roastside follow on this machine"
)
MUTED = "the sound of this machine is turned off: turn it up; the terminal bell rings as well"

_LIMIT_S = 2.0


def by_ssh(environment: Mapping[str, str] = os.environ) -> bool:
    """Whether the person sits at another machine than the one that would sound."""
    return bool(environment.get("SSH_CONNECTION") or environment.get("SSH_TTY"))


def muted(platform: str = sys.platform) -> bool:
    """Whether the system's volume control says off, or all the way down; False if none says."""
    for question in _QUESTIONS.get(platform, _ELSEWHERE):
        path = shutil.which(question.arguments[0])
        answer = None if path is None else _ask([path, *question.arguments[1:]])
        if answer:
            return re.search(question.off, answer) is not None
    return False


@dataclass(frozen=True, slots=True)
class _Question:
    """A program that tells of the volume. off: what its answer has in it when there is none."""

    off: str
    arguments: tuple[str, ...]


_QUESTIONS: dict[str, tuple[_Question, ...]] = {
    "win32": (),
    "darwin": (
        _Question(
            r"output muted:true|output volume:0\b", ("osascript", "-e", "get volume settings")
        ),
    ),
}
_ELSEWHERE = (
    _Question(r"\[MUTED\]|Volume: 0\.00\b", ("wpctl", "get-volume", "@DEFAULT_AUDIO_SINK@")),
    _Question(r"Mute: yes", ("pactl", "get-sink-mute", "@DEFAULT_SINK@")),
    _Question(r"\[off\]", ("amixer", "get", "Master")),
)


def _ask(arguments: list[str]) -> str | None:
    """What a program answers; None if it does not."""
    try:
        done = subprocess.run(
            arguments,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            errors="replace",
            timeout=_LIMIT_S,
            env={**os.environ, "LC_ALL": "C"},
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.stdout if done.returncode == 0 else None
