"""Everything roastside can sound, each with its meaning, for `roastside sounds`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from roastside.core.errors import UsageError
from roastside.sound.motifs import MOTIFS, Motif
from roastside.sound.tone import SILENCE, Tone, tone_at

if TYPE_CHECKING:
    from roastside.sound.tones import Samples


_TONE_S = 2.0
_TONE_GOES_S = 1.5


@dataclass(frozen=True, slots=True)
class Sound:
    """One sound: a burst, or the tone that follows the roast."""

    name: str
    meaning: str
    source: Motif | Tone

    def samples(self, volume: float = 1.0) -> Samples:
        """Its samples, mono, -1 to 1. volume: 0 to 1."""
        if isinstance(self.source, Tone):
            return _tone_for_a_while(self.source, volume)
        from roastside.sound.tones import render

        return render(self.source, volume)


SOUNDS: tuple[Sound, ...] = (
    *(Sound(motif.name, motif.meaning, motif) for motif in MOTIFS),
    Sound("tone-behind", "a low tone that stays: the roast is below the corridor", tone_at(-2.0)),
    Sound("tone-ahead", "a high tone that stays: the roast is above the corridor", tone_at(2.0)),
)


def chosen_sounds(only: str = "") -> tuple[Sound, ...]:
    """All, or the one of this name. Raises UsageError if there is none."""
    found = tuple(sound for sound in SOUNDS if only in ("", sound.name))
    if not found:
        names = ", ".join(sound.name for sound in SOUNDS)
        raise UsageError(f"there is no sound {only!r}; there are {names}")
    return found


def _tone_for_a_while(tone: Tone, volume: float) -> Samples:
    """The tone, how it comes and how it goes."""
    import numpy as np

    from roastside.sound.follower import ToneFollower
    from roastside.sound.wav import RATE_HZ

    follower = ToneFollower()
    follower.goal = tone
    stays = follower.render(round(_TONE_S * RATE_HZ))
    follower.goal = SILENCE
    goes = follower.render(round(_TONE_GOES_S * RATE_HZ))
    return volume * np.concatenate((stays, goes))
