"""Something to read over a screen, such as how alike the repeats of a reference are."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Label, Static


class ReadingDialog(ModalScreen[None]):
    """A title and lines of text; any of the usual keys closes it."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape,enter,q", "leave", "Close")]

    CSS = """
    ReadingDialog .dialog { width: 90; padding: 0 1; }
    ReadingDialog .dialog-title { margin: 0; }
    ReadingDialog .dialog VerticalScroll { max-height: 84vh; margin: 0; }
    ReadingDialog #reading { height: auto; }
    """

    def __init__(self, title: str, text: str) -> None:
        super().__init__()
        self._title = title
        self._text = text

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog"):
            yield Label(self._title, classes="dialog-title", markup=False)
            with VerticalScroll():
                yield Static(self._text, id="reading", markup=False)
            yield Static("Esc closes", classes="dialog-hint")

    def action_leave(self) -> None:
        self.dismiss()
