"""Sounds take turns; whoever asks for one never waits."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

from roastside.core.errors import RoastsideError
from roastside.core.events import Priority
from roastside.sound.clips import Clips
from roastside.sound.fallback import Fallback, Played
from roastside.sound.late_bell import LATE_S, LateBell
from roastside.sound.motifs import MOTIFS, Motif
from roastside.sound.player import Clip, Turn
from roastside.sound.players import Found, find_players
from roastside.sound.sound_news import SoundNews, guarded
from roastside.sound.tone import SILENCE, Tone
from roastside.sound.unheard import muted

_LOOK_S = 1.0
_RANKS = list(Priority)


class SoundQueue:
    """Plays sounds in a thread of its own, the gravest first.

    One sound of each priority waits at most, the newest, so that a flood of alerts stays short. A
    critical one cuts off what is less. Where no player works, or none comes to an end in time, the
    bell is rung instead. Players that failed are tried again from time to time, in silence.

    tell: shows a trouble to a person, each once; tell_silent, where given, those after which no
    sound plays at all, and tell_again that it does again. bell: rings the bells of a motif and
    returns at once. They are called in threads of the queue's. volume: 0 to 1. silenced: whether
    the system's sound is turned off. clock: any steady seconds. late_s: how much longer than
    itself a sound may take.
    """

    def __init__(
        self,
        tell: Callable[[str], None],
        bell: Callable[[Motif], object],
        volume: float = 1.0,
        found: Found | None = None,
        silenced: Callable[[], bool] = muted,
        clock: Callable[[], float] = time.monotonic,
        tell_silent: Callable[[str], None] | None = None,
        tell_again: Callable[[str], None] | None = None,
        late_s: float = LATE_S,
    ) -> None:
        found = find_players() if found is None else found
        self._why_none = found.why_none
        self._bell_only = not found.players
        self._players = Fallback(found.players, clock)
        self._news = SoundNews(tell, tell_silent or tell, tell_again or tell)
        self._bell = guarded(bell)
        self._late = LateBell(self._ring_late, late_s)
        self._silenced = silenced
        self._volume = volume
        self._clips = Clips(volume)
        self._muted = False
        self._waiting: dict[Priority, Motif] = {}
        self._tone: Tone = SILENCE
        self._tone_sounding: Tone = SILENCE
        self._busy = True
        self._rank = -1
        self._turn: Turn | None = None
        self._cut = False
        self._closed = False
        self._changed = threading.Condition()
        self._thread = threading.Thread(target=self._work, name="sounds", daemon=True)

    def start(self) -> None:
        """Begin: find out whether anything can be heard, and tell if not. To be called once."""
        self._thread.start()

    def play(self, motif: Motif) -> None:
        """Let this sound in its turn. Returns at once."""
        with self._changed:
            self._waiting[motif.priority] = motif
            if motif is self._gravest_waiting() and self._rank < _RANKS.index(motif.priority):
                self._expect(motif)
            if motif.priority is Priority.CRITICAL and self._rank < _RANKS.index(motif.priority):
                self._cut_off()
            self._changed.notify_all()

    @property
    def silent(self) -> bool:
        """Whether nothing plays, or nothing in time, that was there to play. From any thread."""
        return self._news.silent

    def follow(self, tone: Tone) -> None:
        """Let this tone sound from now on, between the sounds. Returns at once."""
        with self._changed:
            self._tone = tone
            self._changed.notify_all()

    def hush(self) -> None:
        """Break off what sounds and drop what waits."""
        with self._changed:
            self._waiting.clear()
            self._late.over()
            self._cut_off()

    def wait(self, timeout_s: float) -> bool:
        """Wait until no burst sounds and nothing waits; whether it came to that."""
        with self._changed:
            return self._changed.wait_for(lambda: not self._busy and self._idle(), timeout_s)

    def stop(self, within_s: float = 3.0) -> bool:
        """Sound nothing more; whether the thread has ended."""
        with self._changed:
            self._closed = True
            self._waiting.clear()
            self._late.over()
            self._cut_off()
            self._changed.notify_all()
        if self._thread.ident is None:
            return True
        self._thread.join(within_s)
        return not self._thread.is_alive()

    def _idle(self) -> bool:
        return not self._waiting and self._tone == self._tone_sounding

    def _gravest_waiting(self) -> Motif | None:
        return self._waiting[max(self._waiting, key=_RANKS.index)] if self._waiting else None

    def _expect(self, motif: Motif) -> None:
        if not self._bell_only:
            self._late.expect(motif)

    def _ring_late(self, motif: Motif) -> None:
        if not self._muted:
            self._bell(motif)
        self._news.late()

    def _cut_off(self) -> None:
        self._cut = True
        if self._turn is not None:
            self._turn.stop()

    def _work(self) -> None:
        self._try_out()
        while not self._closed:
            match self._next():
                case Motif() as motif:
                    self._sound(motif)
                case Tone() as tone:
                    self._sound_tone(tone)
                case None:
                    self._look_after_players()
        self._players.close()
        self._clips.close()

    def _next(self) -> Motif | Tone | None:
        """What to do next; None if there was nothing to do for a while."""
        with self._changed:
            self._busy, self._rank, self._turn = False, -1, None
            if self._idle() and not self._closed:
                self._changed.notify_all()
                self._changed.wait(_LOOK_S)
            self._cut = False
            motif = self._gravest_waiting()
            if motif is not None:
                self._busy, self._rank = True, _RANKS.index(motif.priority)
                self._expect(motif)
                return self._waiting.pop(motif.priority)
            if self._tone != self._tone_sounding:
                self._busy, self._tone_sounding = True, self._tone
                return self._tone
            return None

    def _try_out(self) -> None:
        """Tell before the roast needs it that nothing would be heard, and make the sounds."""
        if self._bell_only:
            if self._why_none:
                self._news.none(self._why_none)
            return
        played = self._played(self._clips.silence)
        if played is None:
            return
        if played.by is None:
            self._tell_troubles(played.troubles, None)
        self._look_whether_muted()
        with suppress(RoastsideError):  # told when it matters, should it still be so
            for motif in MOTIFS:
                self._clips.motif(motif)

    def _sound(self, motif: Motif) -> None:
        if self._bell_only:
            self._bell(motif)
            return
        if self._muted:
            self._bell(motif)
        played = self._played(lambda: self._clips.motif(motif))
        if played is not None:
            self._tell_troubles(played.troubles, played.by)
        rung = self._late.over() or self._muted
        if (played is None or played.by is None) and not self._cut and not rung:
            self._bell(motif)
        self._look_whether_muted()

    def _sound_tone(self, tone: Tone) -> None:
        if self._players.follows:
            tone = replace(tone, level=tone.level * self._volume)
            self._tell_troubles(self._players.follow(tone).troubles, None)
        elif tone.level > 0.0 and not self._bell_only:
            self._news.no_tone()

    def _look_after_players(self) -> None:
        """See whether a player failed by itself, and what works instead; and what works again."""
        troubles = self._players.troubles()
        if not troubles:
            if self._players.rested:
                self._played(self._clips.silence)
            return
        self._tone_sounding = SILENCE
        played = self._played(self._clips.silence)
        if played is not None and played.by not in troubles:
            self._tell_troubles(troubles | played.troubles, played.by)

    def _played(self, clip_of: Callable[[], Clip]) -> Played | None:
        """Play a clip; None, and the reason told, if there is no such file."""
        try:
            played = self._players.play(clip_of(), self._begin)
        except RoastsideError as error:
            self._news.no_file(error)
            return None
        if played.by is not None and not self._cut:  # what was cut off has proved nothing
            self._players.works(played.by)
            if self._news.works(played.by):
                self._tone_sounding = SILENCE
        return played

    def _begin(self, turn: Turn) -> bool:
        with self._changed:
            self._turn = turn
            return not self._cut

    def _tell_troubles(self, troubles: dict[str, str], instead: str | None) -> None:
        if not troubles:
            return
        # A device that failed has forgotten its tone.
        self._tone_sounding = SILENCE
        self._news.failed(troubles.values(), instead)

    def _look_whether_muted(self) -> None:
        self._muted = self._silenced()
        if self._muted:
            self._news.muted()
