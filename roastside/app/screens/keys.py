"""Every key of a screen: read it, or pick a line with the mouse or Enter to do it."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.text import Text
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen, Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

_ROWS_AROUND = 7
"""Frame, padding, the list's margins and the line below it."""

_ROWS_FOR_ABOUT = 16


class KeysScreen(ModalScreen[str]):
    """Lists what a screen's keys do; gives the action picked, or the empty text."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,question_mark", "leave", "Close")]

    def __init__(self, about: str, keys: list[tuple[str, Binding]]) -> None:
        super().__init__()
        self._about = about
        self._keys = keys

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog wide"):
            yield Static(self._about, classes="dialog-hint", id="keys-about", markup=False)
            yield OptionList(
                *(Option(_line(*key), id=str(n)) for n, key in enumerate(self._keys)),
                id="keys",
            )
            yield Static("Enter or a click does it, Esc closes", classes="dialog-hint")

    def on_resize(self) -> None:
        self.call_after_refresh(self._fit)

    def _fit(self) -> None:
        """The list takes the rows that the words around it leave, and scrolls in them."""
        about, keys = self.query_one("#keys-about"), self.query_one("#keys")
        about.display = self.size.height >= _ROWS_FOR_ABOUT
        told = about.outer_size.height if about.display else 0
        keys.styles.max_height = max(self.size.height - told - _ROWS_AROUND, 1)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        _, binding = self._keys[int(event.option_id or 0)]
        self.dismiss(binding.action)

    def action_leave(self) -> None:
        self.dismiss("")


def _line(key: str, binding: Binding) -> Text:
    return Text.assemble((f"{key:>5}  ", "bold"), binding.tooltip or binding.description)


def keys_of(screen: Screen[Any]) -> list[tuple[str, Binding]]:
    """The screen's own keys as they are shown, each with its binding.

    A key without words is a second one for what another's words tell.
    """
    return [
        (screen.app.get_key_display(active.binding), active.binding)
        for active in screen.active_bindings.values()
        if active.node is screen
        and (active.binding.tooltip or active.binding.description)
        and not active.binding.action.startswith(_OF_EVERY_SCREEN)
    ]


_OF_EVERY_SCREEN = ("app.", "screen.")
