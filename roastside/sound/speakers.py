"""The programs that can speak, and how each is called.

The text goes to them where nothing reads it as an option, a script or markup: by stdin, after
`--`, or in an environment variable.
"""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass
from math import log

from roastside.core.text import clean
from roastside.sound.program import Program, argument

LONGEST = 300
"""Characters of a sentence that are spoken, about twenty seconds of speech."""

_MEANS_SOMETHING = re.compile(r"[\[\]<>{}|\\`]+")
"""[[ ]] encloses phonemes (espeak-ng) or commands (say), < > markup (SAPI)."""


@dataclass(frozen=True, slots=True)
class Manner:
    """How to speak. voice: a name the speaker knows, empty for its default.

    pace: 1 is the speaker's usual. volume: 0 to 1. extra: further arguments for the program,
    such as a sound device.
    """

    voice: str = ""
    pace: float = 1.0
    volume: float = 1.0
    extra: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Speaker:
    """A program that can speak. path: where it is."""

    name: str
    path: str
    manner: Manner = Manner()

    @property
    def knows_early(self) -> bool:
        """Whether saying nothing at all shows that there is no sound device."""
        return _CALLS[self.name] is _espeak

    def program(self, text: str, urgent: bool, limit_s: float) -> Program:
        """The program's run that says this text."""
        words = argument(_MEANS_SOMETHING.sub(" ", clean(text)), LONGEST)
        return _CALLS[self.name](self, words, urgent, limit_s)


def find_speaker(manner: Manner | None = None, platform: str = sys.platform) -> Speaker | None:
    """The best program to speak with on this machine, None if there is none."""
    for name in _BY_PLATFORM.get(platform, _ELSEWHERE):
        path = shutil.which(name)
        if path is not None:
            return Speaker(name, path, manner or Manner())
    return None


def _espeak(speaker: Speaker, words: str, urgent: bool, limit_s: float) -> Program:
    manner = speaker.manner
    arguments = [
        *(speaker.path, "--stdin", "-b", "1"),
        *("-v", manner.voice or "en"),
        *("-s", f"{_ESPEAK_WORDS_PER_MINUTE * manner.pace:.0f}"),
        *("-a", f"{100.0 * manner.volume:.0f}"),
        *manner.extra,
    ]
    return Program(arguments, limit_s, stdin=words.encode())


def _spd_say(speaker: Speaker, words: str, urgent: bool, limit_s: float) -> Program:
    manner = speaker.manner
    arguments = [speaker.path, "--wait", "--application-name", "roastside", "--language", "en"]
    if manner.voice:
        arguments += ["--synthesis-voice", manner.voice]
    arguments += ["--rate", f"{_steps(manner.pace, 100)}"]
    arguments += ["--volume", f"{100.0 * (manner.volume - 1.0):.0f}"]
    # The daemon speaks on when we end the client; only this makes it break off.
    arguments += ["--priority", "important" if urgent else "text"]
    return Program([*arguments, *manner.extra, "--", words], limit_s)


def _say(speaker: Speaker, words: str, urgent: bool, limit_s: float) -> Program:
    manner = speaker.manner
    arguments = [speaker.path]
    if manner.voice:
        arguments += ["-v", manner.voice]
    if manner.pace != 1.0:
        arguments += ["-r", f"{_SAY_WORDS_PER_MINUTE * manner.pace:.0f}"]
    spoken = words if manner.volume == 1.0 else f"[[volm {manner.volume:.2f}]] {words}"
    return Program([*arguments, *manner.extra, "-f", "-"], limit_s, stdin=spoken.encode())


def _sapi(speaker: Speaker, words: str, urgent: bool, limit_s: float) -> Program:
    manner = speaker.manner
    # PowerShell joins arguments to its script; a variable of the environment stays a text.
    return Program(
        [speaker.path, "-NoProfile", "-NonInteractive", "-Command", _SAPI_SCRIPT],
        limit_s,
        environment={
            "ROASTSIDE_SAY": words,
            "ROASTSIDE_VOICE": manner.voice,
            "ROASTSIDE_PACE": f"{_steps(manner.pace, 10)}",
            "ROASTSIDE_VOLUME": f"{100.0 * manner.volume:.0f}",
        },
    )


def _steps(pace: float, most: int) -> int:
    """A pace on a scale from -most to most, where the ends are a third and three times."""
    return max(-most, min(most, round(most * log(pace, 3.0))))


_ESPEAK_WORDS_PER_MINUTE = 175
_SAY_WORDS_PER_MINUTE = 175

_SAPI_SCRIPT = (
    "$voice = New-Object -ComObject SAPI.SpVoice; "
    "if ($env:ROASTSIDE_VOICE) { foreach ($each in $voice.GetVoices()) "
    "{ if ($each.GetDescription() -eq $env:ROASTSIDE_VOICE) { $voice.Voice = $each } } }; "
    "$voice.Rate = [int]$env:ROASTSIDE_PACE; "
    "$voice.Volume = [int]$env:ROASTSIDE_VOLUME; "
    "$null = $voice.Speak($env:ROASTSIDE_SAY, 16)"  # 16: SVSFIsNotXML, read no markup
)

_CALLS: dict[str, Callable[[Speaker, str, bool, float], Program]] = {
    "espeak-ng": _espeak,
    "espeak": _espeak,
    "spd-say": _spd_say,
    "say": _say,
    "powershell": _sapi,
}

_BY_PLATFORM = {"darwin": ("say", "espeak-ng"), "win32": ("powershell", "espeak-ng")}
# espeak-ng first: it is ours to break off and tells at once when there is no sound device,
# where speech-dispatcher's client waits for its daemon.
_ELSEWHERE = ("espeak-ng", "espeak", "spd-say")
