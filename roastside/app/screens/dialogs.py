"""Small questions asked over the Roast screen."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Label, Static

from roastside.app.widgets.field import Field


class EndDialog(ModalScreen[bool]):
    """Asks before a roast is ended; Escape and a second q both stay."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("e", "answer(True)", "End it"),
        ("escape,q", "answer(False)", "Go on"),
    ]

    def __init__(self, title: str, kept: str) -> None:
        super().__init__()
        self._title = title
        self._kept = kept

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog"):
            yield Label(self._title, classes="dialog-title")
            yield Static(self._kept, markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button("Go on  (Esc)", id="stay")
                yield Button("End it  (e)", id="end", variant="warning")

    def on_mount(self) -> None:
        self.query_one("#stay").focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.dismiss(event.button.id == "end")

    def action_answer(self, end: bool) -> None:
        self.dismiss(end)


class LineDialog(ModalScreen[str]):
    """Asks for one line of text at the bottom of the screen; Escape gives the empty text.

    `trouble` tells what is wrong with a text, in a sentence; while it does, the question stays.
    """

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Leave it")]

    def __init__(self, title: str, hint: str, trouble: Callable[[str], str] | None = None) -> None:
        super().__init__()
        self._title = title
        self._hint = hint
        self._trouble = trouble or (lambda text: "")

    def compose(self) -> ComposeResult:
        with Vertical(classes="prompt"):
            with Horizontal():
                yield Label(f"{self._title}: ", classes="dialog-title")
                yield Field(placeholder=self._hint, max_length=400, compact=True)
            yield Label("Enter keeps it, Esc leaves it", id="prompt-hint")

    def on_input_submitted(self, event: Input.Submitted) -> None:
        text = event.value.strip()
        trouble = self._trouble(text)
        if trouble:
            self.query_one("#prompt-hint", Label).update(trouble)
        else:
            self.dismiss(text)

    def action_leave(self) -> None:
        self.dismiss("")
