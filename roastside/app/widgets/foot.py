"""The line of keys at the foot of a screen, which always tells the way back."""

from __future__ import annotations

from typing import Any

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding
from textual.screen import Screen
from textual.widgets import Footer
from textual.widgets._footer import FooterKey

from roastside.app.draw.cells import text_width

_ALWAYS = ("question_mark", "escape")
"""`?` tells every key; Escape leads back."""

_GAP = 1


class Foot(Footer):
    """As many keys as there is room for, in their order; `?` and Escape whatever the width.

    It is composed anew only when other keys are to be shown, not at every change of the focus.
    """

    def __init__(self) -> None:
        super().__init__(compact=True, show_command_palette=False)
        self._shown: tuple[Any, ...] = ()

    def compose(self) -> ComposeResult:
        self._shown = self._to_show() if self._bindings_ready else ()
        keys = [key for key in super().compose() if isinstance(key, FooterKey)]
        room = self.app.size.width - sum(_width(key) for key in keys if key.key in _ALWAYS)
        kept: list[FooterKey] = []
        for key in keys:
            if key.key not in _ALWAYS:
                room -= _width(key)
            if key.key in _ALWAYS or room >= 0:
                kept.append(key)
        self.styles.grid_size_columns = max(len(kept), 1)
        yield from kept

    def bindings_changed(self, screen: Screen[Any]) -> None:
        """Another widget has the focus, or keys were enabled or disabled."""
        if screen is self.screen and self._to_show() != self._shown:
            super().bindings_changed(screen)

    def on_resize(self, event: events.Resize) -> None:
        """More or fewer keys may fit now."""
        if self._to_show() != self._shown:
            self.call_after_refresh(self.recompose)

    def _to_show(self) -> tuple[Any, ...]:
        keys: list[tuple[Binding, bool]] = [
            (binding, enabled)
            for _, binding, enabled, _ in self.screen.active_bindings.values()
            if binding.show
        ]
        return (self.app.size.width, *keys)


def _width(key: FooterKey) -> int:
    """Of a compact key, in cells."""
    return text_width(key.key_display) + 1 + text_width(key.description) + _GAP
