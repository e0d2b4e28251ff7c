"""A box whose tick shows by its sign, not by a colour alone."""

from __future__ import annotations

from textual.widgets import Checkbox


class TickBox(Checkbox):
    """`[✓]` or `[ ]` before its words."""

    BUTTON_LEFT = BUTTON_RIGHT = ""
    BUTTON_INNER = "[ ]"

    DEFAULT_CSS = """
    TickBox > .toggle--button, TickBox.-on > .toggle--button {
        color: $foreground;
        background: transparent;
    }
    TickBox:focus > .toggle--button { text-style: bold; }
    """

    def watch_value(self) -> None:
        """Show what it is now."""
        self.BUTTON_INNER = "[✓]" if self.value else "[ ]"
        super().watch_value()
