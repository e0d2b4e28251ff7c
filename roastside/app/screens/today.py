"""The first screen: what to do now."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from roastside.live.kept import Kept


class TodayScreen(Screen[None]):
    """Start a roast, practise, or look at one that was recorded."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("r", "roast", "Roast"),
        ("p", "practise", "Practise"),
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
        with Vertical(id="today"):
            yield Static("Today", classes="heading")
            yield OptionList(
                Option("Start a roast: listen to a probe", id="roast"),
                Option("Practise: a roast made of equations, ten times as fast", id="practise"),
                id="today-do",
            )
            yield Static("Recordings, newest first: Enter replays one", classes="heading")
            yield self._recordings()
        yield Static(
            "Never leave a roast unattended. roastside only listens; it is no safety device.",
            id="today-caution",
        )
        yield Footer(show_command_palette=True)

    def _recordings(self) -> OptionList | Static:
        if not self._kept:
            return Static("None yet. They will be kept here.", classes="quiet")
        return OptionList(
            *(
                Option(f"{kept.path.stem}   {kept.written_at:%a %d %b %H:%M}", id=str(kept.path))
                for kept in self._kept
            ),
            id="today-kept",
            markup=False,
        )

    def on_mount(self) -> None:
        self.query_one("#today-do", OptionList).focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id is not None:
            self.post_message(self.Chosen(event.option_id))

    def action_roast(self) -> None:
        self.post_message(self.Chosen("roast"))

    def action_practise(self) -> None:
        self.post_message(self.Chosen("practise"))

    def action_cautions(self) -> None:
        from roastside.app.screens.cautions import CautionsScreen

        self.app.push_screen(CautionsScreen())
