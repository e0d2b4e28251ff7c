"""What to roast, to which reference, and where to listen: asked before a roast."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.suggester import SuggestFromList
from textual.widget import Widget
from textual.widgets import Button, Input, Label, Select, Static

from roastside.app.widgets.field import Field
from roastside.core.errors import UsageError
from roastside.core.plan import development_target
from roastside.live.settings import ProbeSettings
from roastside.live.start import Choices, roast_facts
from roastside.probes.ports import serial_ports


@dataclass(frozen=True, slots=True)
class Setup:
    """The answers, as typed: texts, empty where nothing was chosen.

    `reference` is the path of a roast file.
    """

    port: str
    baud: str
    wire: str
    reference: str
    development: str
    coffee: str = ""
    lot: str = ""
    charge_weight: str = ""
    roasted_by: str = ""


class SetupDialog(ModalScreen[Setup | None]):
    """Everything but the port may be left empty and filled in later; Escape leaves it."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "leave", "Leave it")]

    CSS = """
    SetupDialog .dialog { padding: 0 2; }
    SetupDialog VerticalScroll { height: auto; max-height: 12; margin: 0; }
    SetupDialog .line { height: 1; }
    SetupDialog .line Label { width: 15; }
    SetupDialog .line Input, SetupDialog .line Select { width: 1fr; }
    SetupDialog #baud { width: 10; margin-left: 1; }
    SetupDialog #heard { margin-top: 1; }
    SetupDialog #setup-trouble { height: auto; color: $warning; }
    """

    def __init__(
        self, probe: ProbeSettings, choices: Choices, typed: Setup | None = None, trouble: str = ""
    ) -> None:
        """`probe`: what is listened to when nothing else is said.

        `typed`: what was answered before, and `trouble` why no roast could begin with it.
        """
        super().__init__()
        last = next(iter(choices.people), "")
        usual = Setup(probe.port, str(probe.baud), probe.wire, "", "", roasted_by=last)
        self._before = typed or usual
        self._trouble = trouble
        self._choices = choices
        self._proposed = {"charge-weight": "", "kept": ""}

    def compose(self) -> ComposeResult:
        ports = serial_ports()
        known = self._choices
        before = self._before
        port = before.port or (ports[0].url if ports else "")
        is_kept = before.reference in [path for _, path in known.references]
        coffees = [coffee.name for coffee in known.coffees]
        with Vertical(classes="dialog wide"):
            yield Label("Start a roast", classes="dialog-title")
            with VerticalScroll(can_focus=False):
                yield _line("Coffee", _text("coffee", "what goes in", before.coffee, coffees))
                yield _line("Lot of green", _text("lot", value=before.lot))
                weight = _text("charge-weight", "1500 g, 1.5 kg or 3.3 lb", before.charge_weight)
                yield _line("Charge weight", weight)
                yield _line("Roasted by", _text("roasted-by", "", before.roasted_by, known.people))
                references = Select(
                    [(_plain(words), path) for words, path in known.references],
                    id="kept",
                    prompt="none",
                    compact=True,
                    value=before.reference if is_kept else Select.NULL,
                )
                yield _line("Reference", references)
                path = "" if is_kept else before.reference
                yield _line("or a file", _text("reference", "path of a roast file", path))
                hint = "75 s or 20%; else as the reference"
                yield _line("Development", _text("development", hint, before.development))
                found = ", ".join(f"{p.url} {p.description}".strip() for p in ports[:3])
                yield Label(
                    f"Where to listen ({found or 'no serial port found'})", id="heard", markup=False
                )
                baud = _text("baud", value=before.baud)
                yield _line("Port, speed", _text("port", "/dev/ttyUSB0, COM3", value=port), baud)
                yield _line("Its bytes are", _text("wire", value=before.wire))
            yield Static(self._trouble, id="setup-trouble", markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button("Start  (Enter)", id="start", variant="primary", compact=True)
                yield Button("Leave it  (Esc)", id="leave", compact=True)

    def on_mount(self) -> None:
        self.query_one("#coffee", Input).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        if event.input.id == "coffee":
            self._propose(event.value)

    def _propose(self, name: str) -> None:
        """What is usual for this coffee, wherever the person has not said otherwise."""
        coffee = self._choices.coffee(name)
        self.query_one("#lot", Input).suggester = _names(coffee.lots if coffee else ())
        weight, kept = self.query_one("#charge-weight", Input), self.query_one("#kept", Select)
        if weight.value == self._proposed["charge-weight"]:
            weight.value = coffee.charge_weight if coffee else ""
            self._proposed["charge-weight"] = weight.value
        chosen = kept.value if isinstance(kept.value, str) else ""
        if chosen == self._proposed["kept"]:
            usual = coffee.reference if coffee else ""
            if usual:
                kept.value = usual
            else:
                kept.clear()
            self._proposed["kept"] = usual

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
        setup = Setup(
            port=self._typed("port"),
            baud=self._typed("baud"),
            wire=self._typed("wire"),
            reference=typed or (kept if isinstance(kept, str) else ""),
            development=self._typed("development"),
            coffee=self._choices.now_called(self._typed("coffee")),
            lot=self._typed("lot"),
            charge_weight=self._typed("charge-weight"),
            roasted_by=self._typed("roasted-by"),
        )
        try:
            roast_facts(charge_weight=setup.charge_weight)
            if setup.development:
                development_target(setup.development)
        except UsageError as error:
            self.query_one("#setup-trouble", Static).update(str(error))
        else:
            self.dismiss(setup)

    def _typed(self, field: str) -> str:
        return self.query_one(f"#{field}", Input).value.strip()


def _line(words: str, *fields: Widget) -> Horizontal:
    return Horizontal(Label(words), *fields, classes="line")


def _text(name: str, hint: str = "", value: str = "", names: Iterable[str] = ()) -> Field:
    return Field(
        value,
        id=name,
        compact=True,
        placeholder=hint,
        suggester=_names(names),
        max_length=400,
    )


def _names(names: Iterable[str]) -> SuggestFromList | None:
    found = list(names)
    return SuggestFromList(found, case_sensitive=False) if found else None


def _plain(words: str) -> str:
    """A select reads markup in its options; a bracket in a title is none."""
    return words.replace("[", r"\[")
