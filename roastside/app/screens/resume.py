"""Asks whether to go on with a roast that was cut short."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Label, Static

from roastside.app.words import clock
from roastside.core.units import Degrees
from roastside.live.resume import Interrupted


class ResumeDialog(ModalScreen[bool]):
    """Enter goes on with the roast, Escape leaves its recording as it is."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Leave it")]

    def __init__(self, cut: Interrupted, degrees: Degrees) -> None:
        super().__init__()
        self._words = resume_words(cut, degrees)

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog wide"):
            yield Label("A roast was cut short", classes="dialog-title")
            yield Static(self._words, id="cut", markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button("Go on with it  (Enter)", id="resume", variant="primary")
                yield Button("Leave it  (Esc)", id="leave")

    def on_mount(self) -> None:
        self.query_one("#resume").focus()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        self.dismiss(event.button.id == "resume")

    def action_leave(self) -> None:
        self.dismiss(False)


def resume_words(cut: Interrupted, degrees: Degrees) -> str:
    """What was cut short and what going on means, for people."""
    last = (
        f"{degrees.temperature(cut.last_bean_c):.0f} {degrees.unit}"
        if cut.last_bean_c
        else "unknown"
    )
    if cut.now_s is None:
        when = (
            f"The last reading, {clock(cut.last_s - cut.charge_s)} after charge, was {last}. How "
            "long ago cannot be told, as this machine's clock was set back: elapsed time would go "
            "on from there and be too short."
        )
    else:
        when = (
            f"Charged {clock(cut.now_s - cut.charge_s)} ago; the last reading, "
            f"{clock(cut.now_s - cut.last_s)} ago, was {last}."
        )
    return (
        f"{cut.file.title}\n{when}\n\n"
        "If its beans are still in the roaster, go on: same recording, same reference. Look at the "
        "roaster first."
    )
