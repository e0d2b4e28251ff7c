"""A button that lets the sound settings be heard before they are needed."""

from __future__ import annotations

from textual import work
from textual.message import Message
from textual.widgets import Button

from roastside.app.messages import BellDue
from roastside.live.outlets import MakeOutlets, Outlets
from roastside.live.sound_settings import SoundSettings
from roastside.live.trial import try_out


class TryIt(Button):
    """Plays one sound, says one sentence and runs the command, in the background."""

    class Told(Message):
        """What was tried, or what went wrong with it."""

        def __init__(self, words: str, trouble: bool) -> None:
            super().__init__()
            self.words = words
            self.trouble = trouble

    def __init__(self, make_outlets: MakeOutlets) -> None:
        super().__init__("Try it (t)", id="try_out", compact=True)
        self._make_outlets = make_outlets
        self._trying: Outlets | None = None

    def on_unmount(self) -> None:
        if self._trying is not None:
            self._trying.stop()

    def on_bell_due(self, event: BellDue) -> None:
        self.app.bell()

    def try_out(self, choice: SoundSettings) -> None:
        """Try what these settings turn on. Returns at once; `Told` tells of its end."""
        if self._trying is not None:
            self._tell("It is being tried: wait for its end.", trouble=True)
            return
        self._trying = self._make_outlets(
            choice,
            lambda words, topic="": self._tell(words, trouble=True),
            lambda motif: self.post_message(BellDue(motif)),
        )
        self._try_out(choice, self._trying)

    @work(thread=True)
    def _try_out(self, choice: SoundSettings, outlets: Outlets) -> None:
        tried = try_out(choice, outlets)
        outlets.stop()
        self._trying = None
        self._tell(f"Tried: {', '.join(tried) or 'nothing, as all of it is off'}.", trouble=False)

    def _tell(self, words: str, trouble: bool) -> None:
        """From any thread."""
        self.post_message(self.Told(words, trouble))
