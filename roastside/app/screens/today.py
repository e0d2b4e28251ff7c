"""The first screen: what to do now."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from roastside.live.kept import Kept

_TO_DO = (
    ("roast", "Start a roast: listen to a probe"),
    ("practise", "Practise: an invented roast, ten times as fast as life"),
    ("calibrate", "Check a probe in ice and boiling water"),
    ("settings", "Settings: find the adapter, see what it sends"),
)
"""What can be done, and its words."""


class TodayScreen(Screen[None]):
    """Start a roast, practise, or look at one that was recorded."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("r", "roast", "Roast"),
        ("p", "practise", "Practise"),
        ("b", "calibrate", "Check a probe"),
        ("t", "settings", "Settings"),
        ("s", "cautions", "Safety"),
        ("q", "app.quit", "Quit"),
    ]

    class Chosen(Message):
        """Something to do: `roast`, `practise`, or the path of a recording to replay."""

        def __init__(self, what: str) -> None:
            super().__init__()
            self.what = what

    def __init__(self, kept: list[Kept]) -> None:
        super().__init__()
        self._kept = kept

    def compose(self) -> ComposeResult:
        yield Static("roastside", id="today-name")
        yield OptionList(*self._lines(), id="today", markup=False)
        yield Static(
            "Never leave a roast unattended. roastside only listens; it is no safety device.",
            id="today-caution",
        )
        yield Footer(show_command_palette=True)

    def _lines(self) -> list[Option | None]:
        """What to do, then the recordings: one list, so that the arrows reach all of it."""
        kept = [Option(k.path.stem, id=str(k.path)) for k in self._kept]
        return [
            Option("Today", disabled=True),
            *(Option(words, id=what) for what, words in _TO_DO),
            None,
            Option("Recordings, newest first: Enter replays one", disabled=True),
            *(kept or [Option("none yet", disabled=True)]),
        ]

    def on_mount(self) -> None:
        self.query_one("#today", OptionList).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id is not None:
            self.post_message(self.Chosen(event.option_id))

    def action_roast(self) -> None:
        self.post_message(self.Chosen("roast"))

    def action_practise(self) -> None:
        self.post_message(self.Chosen("practise"))

    def action_calibrate(self) -> None:
        self.post_message(self.Chosen("calibrate"))

    def action_settings(self) -> None:
        self.post_message(self.Chosen("settings"))

    def action_cautions(self) -> None:
        from roastside.app.screens.cautions import CautionsScreen

        self.app.push_screen(CautionsScreen())
