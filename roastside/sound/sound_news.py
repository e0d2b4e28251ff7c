"""What a person is told of the sounds: each trouble once, and that they play again."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from contextlib import suppress
from typing import Any

from roastside.sound.once import Once
from roastside.sound.unheard import MUTED

BELL_INSTEAD = "the terminal bell rings instead"
LATE = "a sound did not come in time; the terminal bell rang instead"
NO_TONE = (
    "the tone that follows the roast needs the sound library; install it: "
    "pip install 'roastside[sound]'"
)


class SoundNews:
    """Puts what happens to the sounds into sentences. A screen that fails is no matter to it.

    tell: shows a trouble; tell_silent: one after which no sound plays at all; tell_again: that
    sounds play again.
    """

    def __init__(
        self,
        tell: Callable[[str], None],
        tell_silent: Callable[[str], None],
        tell_again: Callable[[str], None],
    ) -> None:
        self._tell_once = Once(guarded(tell))
        self._tell_silent_once = Once(guarded(tell_silent))
        self._tell_again = guarded(tell_again)
        self.silent = False
        """Whether nothing plays, or nothing in time, that was there to play."""

    def none(self, why: str) -> None:
        """There is nothing to play with."""
        self._tell_silent_once("none", why)

    def no_file(self, why: object) -> None:
        """There is no sound to be played."""
        self._tell_silent_once("file", f"no sounds: {why}; {BELL_INSTEAD}")

    def failed(self, troubles: Iterable[str], instead: str | None) -> None:
        """Players failed; another plays instead, or None does."""
        reasons = ", ".join(troubles)
        if instead is None:
            self.silent = True
            self._tell_silent_once("all", f"no sound: {reasons}; {BELL_INSTEAD}")
        else:
            self._tell_once(instead, f"no sound: {reasons}; {instead} plays instead")

    def late(self) -> None:
        """A sound did not come in time."""
        self._tell_silent_once("late", LATE)
        self.silent = True  # from now on it is news that a sound plays

    def works(self, by: str) -> bool:
        """A player played; whether that is news."""
        news = self.silent
        if news:
            self.silent = False
            self._tell_silent_once.forget("all", "late")
            self._tell_again(f"sounds play again: {by} works")
        return news

    def no_tone(self) -> None:
        """Nothing here can sound a tone that goes on."""
        self._tell_once("tone", NO_TONE)

    def muted(self) -> None:
        """The system's sound is turned off."""
        self._tell_once("muted", MUTED)


def guarded(show: Callable[[Any], object]) -> Callable[[Any], None]:
    """The same, but for its troubles: a screen that is gone must not silence what comes next."""

    def shown(what: Any) -> None:
        with suppress(Exception):
            show(what)

    return shown
