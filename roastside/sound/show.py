"""`roastside sounds`: plays each sound with its meaning, or saves them."""

from __future__ import annotations

import sys
import time
from functools import partial
from pathlib import Path

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.sound.clips import Clips
from roastside.sound.fallback import Fallback
from roastside.sound.motifs import Motif
from roastside.sound.player import Clip
from roastside.sound.players import find_players
from roastside.sound.samples import Sound, chosen_sounds
from roastside.sound.sound_news import BELL_INSTEAD
from roastside.sound.unheard import MUTED, muted
from roastside.sound.wav import write_wav

_PAUSE_S = 0.8


def save_sounds(folder: Path, only: str, volume: float) -> int:
    """Write one WAV file for each sound. volume: 0 to 1.

    Raises UsageError if there is no such sound, or the folder can not be written.
    """
    from roastside.sound.tones import to_int16

    sounds = chosen_sounds(only)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UsageError(
            f"{folder} cannot be made a folder for sounds: {error.strerror}; choose another"
        ) from error
    for sound in sounds:
        path = folder / f"{sound.name}.wav"
        write_wav(path, to_int16(sound.samples(volume)))
        print(f"{clean(str(path))}: {sound.meaning}")
    return 0


def play_sounds(only: str, volume: float) -> int:
    """Play each sound, or ring the bell as it would ring. volume: 0 to 1.

    Raises UsageError if there is no such sound.
    """
    sounds = chosen_sounds(only)
    found = find_players()
    if found.why_none:
        _tell(found.why_none)
    elif muted():
        _tell(MUTED)
    players = Fallback(found.players, time.monotonic)
    clips = Clips(volume)
    try:
        for sound in sounds:
            print(f"{sound.name:16} {sound.meaning}", flush=True)
            clip = clips.clip(sound.name, partial(sound.samples, volume))
            heard = _play(clip, players) or _ring(sound)
            if heard and sound is not sounds[-1]:
                time.sleep(_PAUSE_S)
    finally:
        players.close()
        clips.close()
    return 0


def _play(clip: Clip, players: Fallback) -> bool:
    """Whether a player played it."""
    played = players.play(clip, begin=lambda turn: True)
    if played.troubles and played.by is None:
        _tell(f"no sound: {', '.join(played.troubles.values())}; {BELL_INSTEAD}")
    return played.by is not None


def _ring(sound: Sound) -> bool:
    """Ring the bell of the terminal; whether there is one, and a bell for this."""
    if not sys.stdout.isatty() or not isinstance(sound.source, Motif):
        return False
    begun_s = time.monotonic()
    for start_s in sound.source.rhythm.starts_s:
        time.sleep(max(begun_s + start_s - time.monotonic(), 0.0))
        print("\a", end="", flush=True)
    return True


def _tell(sentence: str) -> None:
    print(f"roastside: {sentence}", file=sys.stderr)
