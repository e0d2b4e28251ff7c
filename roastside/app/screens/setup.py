"""What to listen to and what to hold it against, asked before a roast."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Label, Select

from roastside.live.kept import kept_recordings
from roastside.probes.ports import serial_ports


@dataclass(frozen=True, slots=True)
class Setup:
    """The answers, as typed: texts, empty where nothing was chosen."""

    port: str
    wire: str
    reference: str
    development: str


class SetupDialog(ModalScreen[Setup | None]):
    """Asks for port, wire, reference and development target; Escape leaves it."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Leave it")]

    def compose(self) -> ComposeResult:
        ports = serial_ports()
        references = [(kept.path.stem, str(kept.path)) for kept in kept_recordings()]
        first_port = ports[0].url if ports else ""
        with Vertical(classes="dialog wide"):
            yield Label("Start a roast", classes="dialog-title")
            known = ", ".join(f"{p.url} {p.description}".strip() for p in ports[:3])
            yield Label(f"Port ({known or 'no serial port found'})", markup=False)
            yield Input(first_port, id="port", placeholder="/dev/ttyUSB0, COM3, socket://host:port")
            yield Label("What the bytes mean")
            yield Input("lines", id="wire", placeholder="lines:bean=1,air=2,unit=C")
            yield Label("Reference: a recording, or any roast file")
            yield Select(references, id="kept", prompt="none")
            yield Input(id="reference", placeholder="or type the path of a roast file")
            yield Label("Development target (seconds or a share such as 20%)")
            yield Input(id="development", placeholder="as the reference")
            with Horizontal(classes="dialog-buttons"):
                yield Button("Start  (Enter)", id="start", variant="primary")
                yield Button("Leave it  (Esc)", id="leave")

    def on_input_submitted(self) -> None:
        self._answer()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        if event.button.id == "start":
            self._answer()
        else:
            self.dismiss(None)

    def action_leave(self) -> None:
        self.dismiss(None)

    def _answer(self) -> None:
        kept = self.query_one("#kept", Select).value
        typed = self._typed("reference")
        reference = typed or (str(kept) if isinstance(kept, str) else "")
        self.dismiss(
            Setup(self._typed("port"), self._typed("wire"), reference, self._typed("development"))
        )

    def _typed(self, field: str) -> str:
        return self.query_one(f"#{field}", Input).value.strip()
