"""The first screen: what to do now."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.message import Message
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.widgets.foot import Foot
from roastside.live.kept import Kept

if TYPE_CHECKING:
    from roastside.live.after_roast import KnownRoasts, ToFillIn

_TO_DO = (
    ("roast", "Start a roast: listen to a probe"),
    ("log", "Log: past roasts, to look at, replay and compare"),
    ("coffees", "Coffees: what is roasted, its lots of green, and notes"),
    ("references", "References: what each coffee is roasted to, and how it got better"),
    ("practise", "Practise: an invented roast, ten times as fast as life"),
    ("calibrate", "Check a probe in ice and boiling water"),
    ("settings", "Settings: find the adapter, see what it sends"),
)
"""What can be done, and its words."""

FILL_IN = "fill in "
"""Begins what was chosen when it is a roast to fill in; the path of its recording follows."""

ALL_UNFINISHED = "all unfinished"
"""What was chosen when it is the Log of all that is to be filled in."""


class TodayScreen(Screen[None]):
    """Start a roast, practise, or look at one that was recorded."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("r", "roast", "Roast"),
        ("l", "log", "Log"),
        ("c", "coffees", "Coffees"),
        ("e", "references", "References"),
        # The footer has 80 cells; what has no room is in the list, and `?` shows its key.
        Binding("p", "practise", "Practise", show=False),
        ("b", "calibrate", "Probe"),
        ("t", "settings", "Settings"),
        ("s", "cautions", "Safety"),
        ("q", "app.quit", "Quit"),
        Binding("question_mark", "keys", "Keys", key_display="?"),
    ]

    class Chosen(Message):
        """Something to do: `roast`, `practise`..., FILL_IN and a path, or a path to replay."""

        def __init__(self, what: str) -> None:
            super().__init__()
            self.what = what

    def __init__(self, kept: list[Kept], look: Callable[[], KnownRoasts], news: str = "") -> None:
        """`look`: what is known of the roasts. Asked once Today is there, in a thread.

        `news`: what is to be known of the recordings, in sentences.
        """
        super().__init__()
        self._news = news
        self._kept = kept
        self._look = look
        self._to_fill_in: Sequence[ToFillIn] = ()
        self._more_to_fill_in = 0
        self._titles: Mapping[Path, str] = {}

    def compose(self) -> ComposeResult:
        yield Static("roastside", id="today-name")
        yield OptionList(*self._lines(), id="today", markup=False)
        if self._news:
            yield Static(self._news, id="today-news", markup=False)
        yield Static(
            "Never leave a roast unattended. roastside listens; it is no safety device.",
            id="today-caution",
        )
        yield Foot()

    def _lines(self) -> list[Option | None]:
        """What to do, then the recordings: one list, so that the arrows reach all of it."""
        kept = [Option(self._called(each.path), id=str(each.path)) for each in self._kept]
        return [
            Option("Today", disabled=True),
            *(Option(words, id=what) for what, words in _TO_DO),
            None,
            *self._unfinished_lines(),
            Option("Recordings, newest first: Enter replays one", disabled=True),
            *(kept or [Option("none yet", disabled=True)]),
        ]

    def _called(self, path: Path) -> str:
        """When it was begun, as its file is called, and the title if that tells more."""
        title = self._titles.get(path, "")
        return f"{path.stem}  {title}" if title and title != path.stem else path.stem

    def _unfinished_lines(self) -> list[Option | None]:
        if not self._to_fill_in and not self._more_to_fill_in:
            return []
        more = self._more_to_fill_in
        words = f"and {more:,} older: Enter lists all of them in the Log"
        return [
            Option("To be filled in, when there is time", disabled=True),
            *(Option(each.words, id=f"{FILL_IN}{each.path}") for each in self._to_fill_in),
            *([Option(words, id=ALL_UNFINISHED)] if more else []),
            None,
        ]

    def on_mount(self) -> None:
        self.query_one("#today", OptionList).focus()
        self.call_after_refresh(self._look_for_unfinished)

    @work(thread=True)
    def _look_for_unfinished(self) -> None:
        known = self._look()
        if known.to_fill_in or known.more or known.titles:
            self.app.call_from_thread(self._show_known, known)

    def _show_known(self, known: KnownRoasts) -> None:
        self._to_fill_in, self._titles = known.to_fill_in, known.titles
        self._more_to_fill_in = known.more
        options = self.query_one("#today", OptionList)
        at = options.highlighted
        options.set_options(self._lines())
        # Lines between do not count.
        more = sum(line is not None for line in self._unfinished_lines())
        options.highlighted = at if at is None or at <= len(_TO_DO) else at + more

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        if event.option_id is not None:
            self.post_message(self.Chosen(event.option_id))

    def action_roast(self) -> None:
        self.post_message(self.Chosen("roast"))

    def action_log(self) -> None:
        self.post_message(self.Chosen("log"))

    def action_coffees(self) -> None:
        self.post_message(self.Chosen("coffees"))

    def action_references(self) -> None:
        self.post_message(self.Chosen("references"))

    def action_practise(self) -> None:
        self.post_message(self.Chosen("practise"))

    def action_calibrate(self) -> None:
        self.post_message(self.Chosen("calibrate"))

    def action_settings(self) -> None:
        self.post_message(self.Chosen("settings"))

    def action_keys(self) -> None:
        """Show every key of this screen; picking one does it."""

        async def do(action: str | None) -> None:
            if action:
                await self.run_action(action)

        self.app.push_screen(KeysScreen("Today: what there is to do", keys_of(self)), do)

    def action_cautions(self) -> None:
        from roastside.app.screens.cautions import CautionsScreen

        self.app.push_screen(CautionsScreen())
