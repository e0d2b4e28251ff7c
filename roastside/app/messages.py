"""The app's own vocabulary: what its parts tell each other."""

from __future__ import annotations

from textual.message import Message

from roastside.sound.motifs import Motif


class BoardChanged(Message, bubble=False):
    """Something happened in the roast. A burst of these costs one repaint."""

    def can_replace(self, message: Message) -> bool:
        return isinstance(message, BoardChanged)


class BellDue(Message, bubble=False):
    """The bell of the terminal is to ring in the rhythm of a motif."""

    def __init__(self, motif: Motif) -> None:
        super().__init__()
        self.motif = motif
