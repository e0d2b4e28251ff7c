"""A line of text that takes the name it proposes when one goes on to the next field."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.widgets import Input


class Field(Input):
    """Tab and Enter accept a proposal that is shown, as → does."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("tab", "next_field", show=False)]

    def action_next_field(self) -> None:
        """Take what is proposed, and go on."""
        self._accept()
        self.screen.focus_next()

    async def action_submit(self) -> None:
        """Take what is proposed, and be done."""
        self._accept()
        await super().action_submit()

    def _accept(self) -> None:
        if self.cursor_at_end and self.selection.is_empty:
            self.action_cursor_right()
