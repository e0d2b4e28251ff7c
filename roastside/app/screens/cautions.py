"""The usual cautions, shown at the first start and any time from the help."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Static

CAUTIONS = """\
Roasting is heat, smoke, chaff, mains power and carbon monoxide.

•  Never leave a roast unattended, whatever this screen says.
•  roastside is no safety device. It only listens and advises; its readings can be wrong, late or \
missing.
•  Follow your roaster's manual and your local codes. Wiring, gas, flues and ventilation are work \
for licensed trades.
•  Keep chaff collector and cooling tray clean, the right extinguisher at hand, the smoke going \
outside, and a carbon monoxide alarm fitted.
•  If beans or chaff burn: cut the heat, follow the maker's emergency steps, and if in doubt get \
everyone out and call the fire service.
"""


class CautionsScreen(ModalScreen[bool]):
    """Cautions to read before the first roast."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape,enter", "understood", "Understood"),
        # A screen in front of all others hears no key of the app.
        Binding("ctrl+c,q", "app.quit", "Quit", show=False),
    ]

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog wide"):
            yield Static("Before you roast", classes="dialog-title")
            with VerticalScroll(can_focus=False):
                yield Static(CAUTIONS, markup=False)
            yield Button("Understood  (Enter)", id="understood")

    def on_mount(self) -> None:
        self.query_one(Button).focus()

    def on_button_pressed(self) -> None:
        self.dismiss(True)

    def action_understood(self) -> None:
        self.dismiss(True)
