"""The app's own vocabulary: what its parts tell each other."""

from __future__ import annotations

from textual.message import Message


class BoardChanged(Message, bubble=False):
    """Something happened in the roast. A burst of these costs one repaint."""

    def can_replace(self, message: Message) -> bool:
        return isinstance(message, BoardChanged)
