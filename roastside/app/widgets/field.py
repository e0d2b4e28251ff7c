"""A line of text that takes the name it proposes when one goes on to the next field."""

from __future__ import annotations

import math
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.widgets import Input


class Field(Input):
    """Tab and Enter accept a proposal that is shown, as → does. What is too long is cut, and said.

    Pasted lines become one.
    """

    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "next_field", show=False)]

    _said_full = False

    def action_next_field(self) -> None:
        """Take what is proposed, and go on."""
        self._accept()
        self.screen.focus_next()

    async def action_submit(self) -> None:
        """Take what is proposed, and be done."""
        self._accept()
        await super().action_submit()

    def replace(self, text: str, start: int, end: int) -> None:
        """As Input does, which takes nothing at all of a text that is too long as a whole."""
        if len(text) > 1:
            text = " ".join(text.split()) if text.splitlines()[1:] else text
        start, end = sorted((max(start, 0), min(end, len(self.value))))
        longest = self.max_length or math.inf  # 0 stands for no limit
        room = max(longest - len(self.value) + end - start, 0)
        if len(text) > room:
            text = text[: int(room)]
            if not room and self._said_full:
                return
            self._said_full = True
            told = f"Only {self.max_length} characters fit here; the rest is left out."
            self.app.notify(told, severity="warning", markup=False)
        elif room > len(text):
            self._said_full = False
        super().replace(text, start, end)

    def _on_paste(self, event: events.Paste) -> None:
        event.prevent_default()
        event.stop()
        if line := " ".join(event.text.split()):
            self.replace(line, *self.selection)

    def _accept(self) -> None:
        if self.cursor_at_end and self.selection.is_empty:
            self.action_cursor_right()
