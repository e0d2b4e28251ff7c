"""What is heard of a roast, and what else an alert sets going."""

from __future__ import annotations

from dataclasses import dataclass

from roastside.core.events import Priority
from roastside.live.setting import setting

_PRIORITIES = tuple(map(str, Priority))


@dataclass(frozen=True, slots=True)
class SoundSettings:
    """Sound, speech, a command and notifications. `from` is the least priority that sets it going.

    With `on` false only the bell of the terminal is left, and it rings for critical alerts only.
    """

    on: bool = setting(True, "sounds (critical ones ring in any case)")
    volume: int = setting(100, "volume of sounds and speech, percent", bounds=(1, 100))
    speech: bool = setting(True, "speech")
    speech_from: str = setting("medium", "alerts that are spoken, from", _PRIORITIES)
    status_every_s: int = setting(
        0, "speak the status every ... seconds", (0, 15, 30, 60, 120, 300)
    )
    tone: bool = setting(False, "tone that follows the roast")
    command: tuple[str, ...] = setting((), "command to run on alerts")
    command_from: str = setting("high", "alerts that run it, from", _PRIORITIES)
    notices: bool = setting(False, "notifications on the desktop")
    notices_from: str = setting("high", "alerts that are notified, from", _PRIORITIES)
