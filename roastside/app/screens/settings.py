"""Settings: find the adapter, see what it sends beside what is read from it, keep the choice."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.notifications import SeverityLevel
from textual.screen import Screen
from textual.widgets import Button, Input, OptionList, Static
from textual.widgets.option_list import Option

from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.settings_form import SettingsForm
from roastside.app.widgets.try_it import TryIt
from roastside.core.errors import RoastsideError
from roastside.core.trust import quality_words
from roastside.core.units import CELSIUS, FAHRENHEIT
from roastside.live.ear import Ear, Heard
from roastside.live.line import Line, check_line
from roastside.live.outlets import MakeOutlets, bell_only
from roastside.live.probe_report import beside
from roastside.live.probe_search import NO_PORTS, line_of
from roastside.live.settings import Settings, save_settings, settings_path
from roastside.probes.ports import PortFound, serial_ports
from roastside.probes.raw import shown_bytes
from roastside.probes.wire_words import exchanged, in_other_unit
from roastside.sound.outside import check_command

_FRAME_S = 0.2
_LOOK_S = 2.0
_RAW_WIDTH = 34
_LINES = 5


class SettingsScreen(Screen[None]):
    """Draws what an Ear hears and what a form holds; both do their work elsewhere."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("f", "find", "Find it", tooltip="find out how to read the port"),
        Binding("l", "listen", "Listen", tooltip="read the port as written below"),
        Binding("a", "ask", "Ask", tooltip="find, and ask a silent port the Modbus way"),
        Binding("x", "exchange", "Swap", tooltip="exchange the bean and the air probe"),
        Binding("u", "unit", "°C/°F", tooltip="take bare numbers as °F, or as °C again"),
        Binding("t", "try_out", "Try it", tooltip="play a sound, say a sentence, run the command"),
        Binding("k,ctrl+s", "keep", "Keep", tooltip="keep these settings"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="every key of this page"),
        Binding("escape", "leave", "Leave", tooltip="leave; what was not kept is forgotten"),
    ]

    CSS = """
    #settings-name { height: 1; padding: 0 2; text-style: bold; background: $surface; }
    #settings { padding: 0 2; height: 1fr; }
    #ports { height: auto; max-height: 5; border: none; padding: 0; background: $background; }
    #ear-buttons { height: 1; margin-top: 1; }
    #ear-buttons Button { margin-right: 1; min-width: 0; }
    #ear-words { text-style: bold; }
    #ear-lines { height: auto; min-height: 5; color: $foreground 80%; }
    """

    def __init__(
        self,
        settings: Settings,
        ports: Callable[[], list[PortFound]] = serial_ports,
        make_outlets: MakeOutlets = bell_only,
    ) -> None:
        """`ports`: lists what is plugged in, again and again. `make_outlets`: what is tried."""
        super().__init__()
        self._settings = settings
        self._list_ports = ports
        self._ports: list[PortFound] | None = None
        self._make_outlets = make_outlets
        self._ear: Ear | None = None
        self._filled_in = False
        self._swapped = ""

    def compose(self) -> ComposeResult:
        yield Static("Settings", id="settings-name")
        with VerticalScroll(id="settings", can_focus=False):
            yield Static("Adapter: Enter on a port finds out how to read it", classes="heading")
            yield OptionList(id="ports", markup=False)
            with Horizontal(id="ear-buttons"):
                yield Button("Find it (f)", id="find", compact=True)
                yield Button("Listen (l)", id="listen", compact=True)
                yield Button("Swap probes (x)", id="exchange", compact=True)
                yield Button("°C/°F (u)", id="unit", compact=True)
                yield Button("Keep (k)", id="keep", compact=True, variant="primary")
            yield Static(id="ear-words", markup=False)
            yield Static(id="ear-lines", markup=False)
            yield Static(id="ear-quality", markup=False)
            yield Static(id="ear-advice", markup=False)
            yield SettingsForm(self._settings, below={"sound": TryIt(self._make_outlets)})
        yield Foot()

    def on_mount(self) -> None:
        self.set_interval(_FRAME_S, self._draw)
        self.set_interval(_LOOK_S, self._look_for_ports)
        self._look_for_ports()
        self.query_one("#ports", OptionList).focus()

    def on_unmount(self) -> None:
        if self._ear is not None:
            self._ear.stop()
            self._ear.wait(1.0)  # whoever opens the port next shall find it free

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id is not None:
            self._form.fill({"probe.port": event.option_id})
            self.action_find()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        event.stop()
        if event.button.id is not None:
            self.call_later(self.run_action, event.button.id)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self.action_listen()

    def action_find(self, ask: bool = False) -> None:
        """Find out how to read the port that is picked or written."""
        port = self._port()
        if port:
            self._use(lambda before: Ear.finding(port, ask, before))

    def action_ask(self) -> None:
        """The same, with questions to a device that says nothing."""
        self.action_find(ask=True)

    def action_listen(self) -> None:
        """Read the port as the form says."""
        try:
            probe = self._form.settings().probe
        except RoastsideError as error:
            self._tell(error)
            return
        port = self._port()
        if port:
            line = Line(port, probe.baud, probe.wire)
            self._use(lambda before: Ear.listening(line, before))

    def action_exchange(self) -> None:
        """The other way round: what was air is the bean probe."""
        self._read_as(exchanged(self._form.text("probe.wire"), self._swapped))

    def action_unit(self) -> None:
        """Bare numbers are degrees of the other unit."""
        self._read_as(in_other_unit(self._form.text("probe.wire")))

    def action_keep(self) -> None:
        """Keep what the form says."""
        try:
            settings = self._checked()
            check_line(settings.probe)
            save_settings(settings)
        except RoastsideError as error:
            self._tell(error)
            return
        self.notify(f"Kept in {settings_path()}", markup=False)

    def action_try_out(self) -> None:
        """Let what is written be heard, whether it is kept or not."""
        try:
            self.query_one(TryIt).try_out(self._checked().sound)
        except RoastsideError as error:
            self._tell(error)

    def on_try_it_told(self, event: TryIt.Told) -> None:
        severity: SeverityLevel = "warning" if event.trouble else "information"
        self.notify(event.words, severity=severity, timeout=15.0, markup=False)

    def action_keys(self) -> None:
        """Show every key of this page; picking one does it."""

        async def do(action: str | None) -> None:
            if action:
                await self.run_action(action)

        self.app.push_screen(KeysScreen("Settings: what there is to do", keys_of(self)), do)

    def action_leave(self) -> None:
        """Back to Today."""
        self.dismiss()

    def _checked(self) -> Settings:
        """What the form says. Raises UsageError if it does not fit, or no such command is here."""
        settings = self._form.settings()
        if settings.sound.command:
            check_command(settings.sound.command)
        return settings

    @property
    def _form(self) -> SettingsForm:
        return self.query_one(SettingsForm)

    def _port(self) -> str:
        """The port that is written, or else the one that is picked; says so if there is none."""
        ports = self.query_one("#ports", OptionList)
        picked = ports.highlighted_option
        port = self._form.text("probe.port") or (picked.id if picked and picked.id else "")
        if port:
            self._form.fill({"probe.port": port})
        else:
            self.notify("Plug the adapter in, or write its port below.", severity="warning")
        return port

    def _read_as(self, wire: str) -> None:
        self._form.fill({"probe.wire": wire})
        self.action_listen()

    def _use(self, begin: Callable[[Ear | None], Ear]) -> None:
        if self._ear is not None:
            self._ear.stop()
        self._filled_in = False
        self._ear = begin(self._ear)

    def _draw(self) -> None:
        heard = self._ear.heard if self._ear is not None else Heard()
        self._fill_in(heard)
        degrees = FAHRENHEIT if self._form.text("display.unit") == "F" else CELSIUS
        lines = "\n".join(beside(heard.lines[-_LINES:], _RAW_WIDTH, (degrees,)))
        quality = quality_words(heard.quality, degrees) if heard.quality is not None else []
        advice = heard.finding.advice if heard.finding is not None else ()
        self.query_one("#ear-words", Static).update(heard.words)
        self.query_one("#ear-lines", Static).update(lines or shown_bytes(heard.data[:60], 70))
        self.query_one("#ear-quality", Static).update("; ".join(quality))
        self.query_one("#ear-advice", Static).update("\n".join(advice))

    def _fill_in(self, heard: Heard) -> None:
        """Write into the form what is proposed, once, so that a person can change it."""
        if self._filled_in or heard.finding is None:
            return
        self._filled_in = True
        if heard.finding.proposal is not None:
            self._swapped = heard.finding.proposal.swapped
            line = line_of(heard.finding.proposal)
            self._form.fill({"probe.baud": str(line.baud), "probe.wire": line.wire})

    @work(thread=True, exclusive=True)
    def _look_for_ports(self) -> None:
        ports = self._list_ports()
        self.app.call_from_thread(self._show_ports, ports)

    def _show_ports(self, ports: list[PortFound]) -> None:
        if ports == self._ports or not self.is_attached:
            return
        self._ports = ports
        shown = self.query_one("#ports", OptionList)
        shown.clear_options()
        for port in ports:
            shown.add_option(Option(f"{port.url}  {port.description}".strip(), id=port.url))
        if ports:
            shown.highlighted = 0
        else:
            shown.add_option(Option(NO_PORTS, disabled=True))

    def _tell(self, error: RoastsideError) -> None:
        self.notify(str(error), severity="error", timeout=15.0, markup=False)
