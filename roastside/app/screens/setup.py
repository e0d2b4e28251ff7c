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
from roastside.live.settings import ProbeSettings
from roastside.probes.ports import serial_ports


@dataclass(frozen=True, slots=True)
class Setup:
    """The answers, as typed: texts, empty where nothing was chosen."""

    port: str
    baud: str
    wire: str
    reference: str
    development: str


class SetupDialog(ModalScreen[Setup | None]):
    """Asks for the line, a reference and a development target; Escape leaves it."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Leave it")]

    CSS = """
    SetupDialog .line { height: auto; }
    SetupDialog #port { width: 3fr; margin-right: 1; }
    SetupDialog #baud { width: 1fr; }
    """

    def __init__(self, probe: ProbeSettings) -> None:
        """`probe`: what is listened to when nothing else is said."""
        super().__init__()
        self._probe = probe

    def compose(self) -> ComposeResult:
        ports = serial_ports()
        references = [(kept.path.stem, str(kept.path)) for kept in kept_recordings()]
        port = self._probe.port or (ports[0].url if ports else "")
        with Vertical(classes="dialog wide"):
            yield Label("Start a roast", classes="dialog-title")
            known = ", ".join(f"{p.url} {p.description}".strip() for p in ports[:3])
            yield Label(f"Port ({known or 'no serial port found'}) and speed", markup=False)
            with Horizontal(classes="line"):
                yield Input(port, id="port", compact=True, placeholder="/dev/ttyUSB0, COM3")
                yield Input(str(self._probe.baud), id="baud", compact=True)
            yield Label("What the bytes mean (Settings finds it out)")
            yield Input(self._probe.wire, id="wire", compact=True)
            yield Label("Reference: a recording, or any roast file")
            yield Select(references, id="kept", prompt="none", compact=True)
            yield Input(id="reference", compact=True, placeholder="or the path of a roast file")
            yield Label("Development target (seconds or a share such as 20%)")
            yield Input(id="development", compact=True, placeholder="as the reference")
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
            Setup(
                self._typed("port"),
                self._typed("baud"),
                self._typed("wire"),
                reference,
                self._typed("development"),
            )
        )

    def _typed(self, field: str) -> str:
        return self.query_one(f"#{field}", Input).value.strip()
