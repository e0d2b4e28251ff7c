"""The voice: short sentences, spoken by the platform, waited for by nobody."""

from __future__ import annotations

from collections.abc import Callable

from roastside.sound.once import Once
from roastside.sound.program import Outcome, Program
from roastside.sound.program_queue import ProgramQueue
from roastside.sound.speakers import Speaker
from roastside.sound.spoken import sentence

NO_VOICE = (
    "nothing is spoken: no speech program was found; install espeak-ng, or turn speech off in "
    "the settings"
)

_ROOM = 3
_FRESH_S = 10.0
_PLAIN, _URGENT = 0, 1


class Voice:
    """Says sentences one after another. speaker: None is a voice that stays silent.

    tell: shows a trouble to a person, each kind once; with no speaker at once, else in the
    voice's own thread. limit_s: how long one sentence may take before its program is ended.
    """

    def __init__(
        self, speaker: Speaker | None, tell: Callable[[str], None], limit_s: float = 25.0
    ) -> None:
        self._speaker = speaker
        self._limit_s = limit_s
        self._tell_once = Once(tell)
        self._queue = ProgramQueue("voice", self._ended, room=_ROOM)
        if speaker is None:
            tell(NO_VOICE)

    def say(self, text: str, urgent: bool = False) -> None:
        """Say this in its turn, figures in words; not begun within ten seconds, it is left unsaid.

        urgent: breaks off and drops whatever is not, and is never left unsaid for its age.
        """
        if self._speaker is None:
            return
        program = self._speaker.program(sentence(text), urgent, self._limit_s)
        if urgent:
            self._queue.cut_off(below=_URGENT)
            self._queue.add(program, _URGENT)
        else:
            self._queue.add(program, _PLAIN, _FRESH_S)

    def check(self) -> None:
        """Say nothing, aloud: a missing sound device is told now and not at the first alert.

        Only espeak-ng can be asked so; any other speaker is not.
        """
        if self._speaker is not None and self._speaker.knows_early:
            self.say("")

    def hush(self) -> None:
        """Break off what is being said and drop what waits."""
        self._queue.cut_off(below=_URGENT + 1)

    def wait(self, timeout_s: float) -> bool:
        """Wait until all is said; whether it was."""
        return self._queue.wait(timeout_s)

    def stop(self, within_s: float = 3.0) -> bool:
        """Fall silent for good; whether the voice's thread has ended."""
        return self._queue.stop(within_s)

    def _ended(self, program: Program, outcome: Outcome) -> None:
        trouble = outcome.trouble(program.name)
        if trouble:
            self._tell_once(
                outcome.ending,
                f"not spoken: {trouble}; alerts still sound and show; check the sound device "
                "and the speech settings",
            )
