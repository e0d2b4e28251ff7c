"""One warning where neither sounds nor words can be heard: they often have one cause."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterable

from roastside.sound.players import NO_PLAYER
from roastside.sound.speech import NO_VOICE

ONE_CAUSE_S = 30.0
"""Sounds and speech that fail no further apart than this have failed together."""

TOPIC = "unheard"

_REMEDIES = {NO_PLAYER: "pip install 'roastside[sound]'", NO_VOICE: "install espeak-ng"}
_USUAL_REMEDY = "check the sound device"


class Quiet:
    """Tells why sounds or words are not heard; when both are not, one sentence for both.

    tell: shows a sentence on a topic, in place of what was shown on it before; without a topic,
    by itself. clock: any steady seconds.
    """

    def __init__(
        self, tell: Callable[[str, str], object], clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._tell = tell
        self._clock = clock
        self._lock = threading.Lock()
        self._troubles: dict[str, str] = {}
        self._since_s: dict[str, float] = {}

    def no_sound(self, trouble: str) -> None:
        """No sound plays. From any thread."""
        self._take("sound", trouble)

    def no_speech(self, trouble: str) -> None:
        """Nothing is spoken. From any thread."""
        self._take("speech", trouble)

    def sound_again(self, news: str) -> None:
        """Sounds play again: what was told of it does not hold any more. From any thread."""
        with self._lock:
            self._troubles.pop("sound", None)
            self._since_s.pop("sound", None)
            self._tell(news, TOPIC)

    def _take(self, kind: str, trouble: str) -> None:
        # Told under the lock: two threads must not overtake one another on the way to the screen.
        with self._lock:
            self._troubles[kind] = trouble
            self._since_s[kind] = self._clock()
            if len(self._troubles) == 1:
                self._tell(trouble, TOPIC)
            elif max(self._since_s.values()) - min(self._since_s.values()) <= ONE_CAUSE_S:
                self._tell(nothing_heard(self._troubles.values()), TOPIC)
            else:
                self._tell(trouble, "")


def nothing_heard(troubles: Iterable[str]) -> str:
    """Both troubles as one sentence, with what to do about each."""
    remedies = sorted({_REMEDIES.get(trouble, _USUAL_REMEDY) for trouble in troubles})
    return f"only the terminal bell is heard: {' and '.join(remedies)}"
