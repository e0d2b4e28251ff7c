"""What is heard of a roast under way: follows its alerts, and lets out what is due."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from queue import Empty, SimpleQueue

from roastside.core.events import Alert, AlertState, Event, Priority, Summary
from roastside.live.outlets import Outlets, Tell
from roastside.live.sound_settings import SoundSettings
from roastside.sound.grammar import BURST_S
from roastside.sound.motifs import motif_for
from roastside.sound.once import Once
from roastside.sound.ringer import Ringer
from roastside.sound.spoken import sentence
from roastside.sound.tone import SILENCE, Tone

SPOKEN_AGAIN_S = 30.0
"""An alert that sounds again and again is not told in words more often than this."""

SPOKEN_ANYWAY = frozenset({"cue_soon"})
"""Alerts whose sound says nothing without their words."""

_LOOK_S = 0.1
_WORDS_PER_S = 2.5
_LONGEST_SPOKEN_S = 10.0
_ORDER = list(Priority)


@dataclass(frozen=True, slots=True)
class Scene:
    """What can be asked of the roast, from any thread.

    words: an alert in the words of this moment. status: where the roast stands, a sentence.
    tone: what the tone that follows the roast should be now.
    """

    words: Callable[[Alert], str] = lambda alert: alert.message
    status: Callable[[], str] = lambda: ""
    tone: Callable[[], Tone] = lambda: SILENCE


@dataclass(frozen=True, slots=True)
class _Sentence:
    """An alert to be told in words, once its sound has ended."""

    alert: Alert
    at_s: float


class Hearing:
    """Joins the alerts of a roast to the outlets, in a thread of its own.

    A consumer of the event stream: it takes note and returns. What goes wrong here is told once
    and is no matter to the roast. clock: any steady seconds; sound is made in real time, however
    fast the roast is replayed.
    """

    def __init__(
        self,
        choice: SoundSettings,
        outlets: Outlets,
        tell: Tell,
        scene: Scene | None = None,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        self._choice = choice
        self._outlets = outlets
        self._tell_once = Once(tell)
        self._scene = scene or Scene()
        self._clock = clock
        self._ringer = Ringer()
        self._lock = threading.Lock()
        self._coming: SimpleQueue[Event | None] = SimpleQueue()
        self._sentence: _Sentence | None = None
        self._told_s: dict[str, float] = {}
        self._status_s = clock()
        self._over = False
        self._stopping = False
        self._thread = threading.Thread(target=self._work, name="hearing", daemon=True)

    def __call__(self, events: Sequence[Event]) -> None:
        """Take note of what concerns the ear. From the roast's thread; returns at once."""
        for event in events:
            if isinstance(event, Alert | Summary):
                self._coming.put(event)

    def start(self) -> None:
        """Begin to listen, and tell early of what would not be heard. To be called once."""
        self._guarded(self._outlets.start)
        self._guarded(self._thread.start)

    def stop(self) -> None:
        """Fall silent for good. Returns at once."""
        self._stopping = True
        self._coming.put(None)
        self._guarded(self._outlets.stop)

    def hush(self) -> None:
        """Be silent for a while, critical alerts for half of it; or end the silence."""
        now_s = self._clock()
        with self._lock:
            self._ringer.hush(now_s)
            hushed = self._ringer.hushed_for_s(now_s) > 0.0
            if hushed:
                self._sentence = None
        if hushed:
            self._guarded(self._outlets.hush)

    def hushed_for_s(self) -> float:
        """Seconds of silence left."""
        with self._lock:
            return self._ringer.hushed_for_s(self._clock())

    @property
    def lost_sound(self) -> bool:
        """Whether what should sound does not, and only the bell is left."""
        return self._outlets.sounds.silent

    @property
    def speaks(self) -> bool:
        """Whether there is a voice."""
        return self._outlets.voice is not None

    def say(self, words: str) -> None:
        """Say this in its turn, hushed or not: someone asked for it. Returns at once."""
        if self._outlets.voice is not None:
            self._outlets.voice.say(words)

    def look(self, wait_s: float = 0.0) -> None:
        """Take in what came, waiting a little for it, and let out what is due by now."""
        events = self._news(wait_s)
        for step in (self._send_out, self._follow):
            self._guarded(step, events)
        for let_out in (self._sound, self._speak, self._tone, self._status):
            self._guarded(let_out, self._clock())

    def _work(self) -> None:
        while not self._stopping:
            self.look(_LOOK_S)

    def _news(self, wait_s: float) -> list[Event]:
        news: list[Event | None] = []
        with suppress(Empty):
            news.append(self._coming.get(timeout=wait_s))
            while True:
                news.append(self._coming.get_nowait())
        return [event for event in news if event is not None]

    def _send_out(self, events: Sequence[Event]) -> None:
        """Let the command run, and a notification show, for what is raised."""
        for event in events:
            if not isinstance(event, Alert) or event.state is not AlertState.RAISED:
                continue
            outside, notices = self._outlets.outside, self._outlets.notices
            if outside is not None and _reaches(event.priority, self._choice.command_from):
                outside.take(event)
            if notices is not None and _reaches(event.priority, self._choice.notices_from):
                title = f"roast: {event.alert.replace('_', ' ')}"
                notices.show(title, event.message, event.priority is Priority.CRITICAL)

    def _follow(self, events: Sequence[Event]) -> None:
        with self._lock:
            self._ringer.take(events)
        for event in events:
            if isinstance(event, Alert) and event.state is AlertState.CLEARED:
                self._told_s.pop(event.alert, None)
        self._over = self._over or any(isinstance(event, Summary) for event in events)

    def _sound(self, now_s: float) -> None:
        """Begin the burst that is due, and have its words follow."""
        with self._lock:
            alert = self._ringer.due(now_s)
            if alert is None:
                return
            after_s = now_s + BURST_S[alert.priority]
            if self._is_told(alert, now_s):
                self._sentence = _Sentence(alert, after_s)
                self._told_s[alert.alert] = now_s
                spoken_s = min(_spoken_s(alert.message), _LONGEST_SPOKEN_S)
                self._ringer.hold(after_s + spoken_s, alert)
        critical = alert.priority is Priority.CRITICAL
        if critical and self._outlets.voice is not None:
            self._outlets.voice.hush()
        if self._choice.on or critical:
            self._outlets.sounds.play(motif_for(alert))

    def _is_told(self, alert: Alert, now_s: float) -> bool:
        """Whether the words of an alert that sounds now are to be spoken."""
        if self._outlets.voice is None:
            return False
        wanted = _reaches(alert.priority, self._choice.speech_from) or alert.alert in SPOKEN_ANYWAY
        told_s = self._told_s.get(alert.alert)
        return wanted and (told_s is None or not 0.0 <= now_s - told_s < SPOKEN_AGAIN_S)

    def _speak(self, now_s: float) -> None:
        """Say what is to be said, unless it is over or seen by now."""
        with self._lock:
            due = self._sentence
            if due is None or now_s < due.at_s:
                return
            self._sentence = None
            stands = self._ringer.stands(due.alert)
        if stands and self._outlets.voice is not None:
            grave = _reaches(due.alert.priority, Priority.HIGH)
            self._outlets.voice.say(self._scene.words(due.alert), urgent=grave)

    def _tone(self, now_s: float) -> None:
        if not (self._choice.tone and self._choice.on):
            return
        with self._lock:
            silent = self._over or self._ringer.hushed(Priority.LOW, now_s)
        self._outlets.sounds.follow(SILENCE if silent else self._scene.tone())

    def _status(self, now_s: float) -> None:
        """Say where the roast stands, as often as it is wanted."""
        every_s = self._choice.status_every_s
        if not every_s or self._over or 0.0 <= now_s - self._status_s < every_s:
            return
        self._status_s = now_s
        with self._lock:
            silent = self._ringer.hushed(Priority.LOW, now_s) or self._sentence is not None
        words = "" if silent else self._scene.status()
        if words:
            self.say(words)

    def _guarded(self, do: Callable[..., object], *what: object) -> None:
        """Do it; a stumble of ours is told, once, and nothing more comes of it."""
        try:
            do(*what)
        except Exception as error:
            with suppress(Exception):
                kind = type(error).__name__
                self._tell_once(kind, f"sound: roastside stumbled ({kind}: {error})")


def _reaches(priority: Priority, least: str) -> bool:
    return _ORDER.index(priority) >= _ORDER.index(Priority(least))


def _spoken_s(message: str) -> float:
    """About how long it takes to say, seconds."""
    return len(sentence(message).split()) / _WORDS_PER_S
