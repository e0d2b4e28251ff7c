"""A question that is answered by yes or no."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Label, Static


class AskDialog(ModalScreen[bool]):
    """Gives whether it was agreed to; Escape does not. `yes` says what agreeing does."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("y", "answer(True)", "Yes"),
        ("escape,n", "answer(False)", "No"),
    ]

    def __init__(self, title: str, text: str, yes: str) -> None:
        super().__init__()
        self._title = title
        self._text = text
        self._yes = yes

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog"):
            yield Label(self._title, classes="dialog-title", markup=False)
            yield Static(self._text, markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button(f"{self._yes}  (y)", id="yes", variant="primary", compact=True)
                yield Button("Leave it  (Esc)", id="no", compact=True)

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.dismiss(event.button.id == "yes")

    def action_answer(self, agreed: bool) -> None:
        self.dismiss(agreed)
