"""All that an alert can be let out by: sounds, a voice, a command, notifications."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from threading import Thread
from typing import Protocol

from roastside.core.errors import UsageError
from roastside.live.sound_settings import SoundSettings
from roastside.sound.motifs import Motif
from roastside.sound.notify import Notices, find_notifier
from roastside.sound.outside import Outside
from roastside.sound.players import Found
from roastside.sound.quiet import Quiet
from roastside.sound.sound_queue import SoundQueue
from roastside.sound.speakers import Manner, find_speaker
from roastside.sound.speech import Voice
from roastside.sound.unheard import by_ssh


class Tell(Protocol):
    """Shows a trouble to a person. Called from any thread.

    topic: it takes the place of what was shown on this before; empty if it stands by itself.
    """

    def __call__(self, words: str, topic: str = "", /) -> None: ...


Bell = Callable[[Motif], object]
"""Rings the terminal's bell in the rhythm of a motif and returns at once. From any thread."""

_LAST_RUN_S = 5.0


@dataclass(frozen=True, slots=True)
class Outlets:
    """What there is; None is not wanted, or not there. Nobody who uses them ever waits."""

    sounds: SoundQueue
    voice: Voice | None = None
    outside: Outside | None = None
    notices: Notices | None = None

    def start(self) -> None:
        """Begin, and tell early of what would not be heard."""
        self.sounds.start()
        if self.voice is not None:
            self.voice.check()

    def hush(self) -> None:
        """Break off what sounds and what is said."""
        self.sounds.hush()
        if self.voice is not None:
            self.voice.hush()

    def stop(self) -> None:
        """End all of it in the background; a message on its way has a few seconds to get out."""
        Thread(target=self._stop, name="outlets end").start()

    def _stop(self) -> None:
        self.sounds.stop()
        if self.voice is not None:
            self.voice.stop()
        for each in (self.outside, self.notices):
            if each is not None:
                each.wait(_LAST_RUN_S)
                each.stop()


MakeOutlets = Callable[[SoundSettings, Tell, Bell], Outlets]


def all_outlets(choice: SoundSettings, tell: Tell, bell: Bell) -> Outlets:
    """Those of this machine that the settings ask for."""
    found = None if choice.on else _BELL_ONLY
    volume = choice.volume / 100.0
    manner = Manner(volume=volume)
    # By SSH the voice would speak on the other machine, where nobody is; the sounds tell so.
    speaks = choice.speech and not by_ssh()
    quiet = Quiet(tell)
    return Outlets(
        sounds=SoundQueue(
            *(tell, bell, volume, found),
            tell_silent=quiet.no_sound,
            tell_again=quiet.sound_again,
        ),
        voice=Voice(find_speaker(manner), quiet.no_speech) if speaks else None,
        outside=_outside(choice, tell),
        notices=Notices(find_notifier(), tell) if choice.notices else None,
    )


def bell_only(choice: SoundSettings, tell: Tell, bell: Bell) -> Outlets:
    """Nothing but the bell of the terminal."""
    return Outlets(SoundQueue(tell, bell, found=_BELL_ONLY))


def _outside(choice: SoundSettings, tell: Tell) -> Outside | None:
    if not choice.command:
        return None
    try:
        return Outside(choice.command, tell)
    except UsageError as error:
        tell(str(error))
        return None


_BELL_ONLY = Found(())
