"""Which probe to check and where, asked before a probe check."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import ModalScreen
from textual.widgets import Button, Input, Label, Static

from roastside.app.screens.calibrate import CalibrateScreen
from roastside.core.boiling import boiling_from_words
from roastside.core.errors import RoastsideError
from roastside.live.calibrating import CAUTION, usual_person
from roastside.live.check import Wish, prepare
from roastside.live.probe_check import ProbeCheck
from roastside.live.settings import ProbeSettings
from roastside.probes.ports import serial_ports
from roastside.record.format import BEAN


class CalibrateSetup(ModalScreen[None]):
    """Asks, opens the probe, and hands over to the check; Escape leaves it."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Leave it")]

    CSS = """
    CalibrateSetup .dialog { padding: 0 2; }
    CalibrateSetup .dialog Label { color: $foreground 70%; }
    CalibrateSetup #trouble { color: $warning; }
    """

    def __init__(self, probe: ProbeSettings) -> None:
        """`probe`: what is listened to when nothing else is said."""
        super().__init__()
        self._probe = probe

    def compose(self) -> ComposeResult:
        ports = serial_ports()
        port = self._probe.port or (ports[0].url if ports else "")
        with Vertical(classes="dialog wide"):
            yield Label("Check a probe in ice and boiling water", classes="dialog-title")
            yield Static(CAUTION, classes="dialog-hint")
            yield Label("Port")
            yield Input(port, id="port", compact=True, placeholder="/dev/ttyUSB0, COM3")
            yield Label("What the bytes mean")
            yield Input(self._probe.wire, id="wire", compact=True)
            yield Label("Which probe: bean_c, air_c, or another that the line above names")
            yield Input(BEAN, id="channel", compact=True)
            yield Label("Height above the sea, or the air's pressure by a barometer here")
            yield Input(id="place", compact=True, placeholder="520 m, or 953 hPa")
            yield Label("Your name")
            yield Input(usual_person(), id="person", compact=True)
            yield Static(id="trouble", markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button("Begin  (Enter)", id="begin", variant="primary", compact=True)
                yield Button("Leave it  (Esc)", id="leave", compact=True)

    def on_mount(self) -> None:
        self.query_one("#place", Input).focus()

    def on_input_submitted(self) -> None:
        self._begin()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        if event.button.id == "begin":
            self._begin()
        else:
            self.dismiss()

    def action_leave(self) -> None:
        self.dismiss()

    def _begin(self) -> None:
        """Open the probe and show the check; what stands in the way is said right here."""
        try:
            port = self._typed("port")
            wish = Wish(
                port=port,
                baud=self._probe.baud if port == self._probe.port else None,
                wire=self._typed("wire"),
                channel=self._typed("channel"),
                person=self._typed("person"),
                place=boiling_from_words(self._typed("place")),
            )
            check = ProbeCheck(prepare(wish))
            check.open()
        except RoastsideError as error:
            self.query_one("#trouble", Static).update(str(error))
            return
        self.app.switch_screen(CalibrateScreen(check))

    def _typed(self, field: str) -> str:
        return self.query_one(f"#{field}", Input).value.strip()
