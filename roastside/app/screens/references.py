"""All references: which one each coffee is roasted to, and how it did."""

from __future__ import annotations

from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from roastside.app.reference_words import list_head, list_lines
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.log import LogScreen
from roastside.app.screens.reference_page import ReferencePage
from roastside.app.widgets.foot import Foot
from roastside.core.errors import BookError
from roastside.live.log import RoastLog
from roastside.live.reference_shelf import Shelved, shelf
from roastside.live.shared_log import SharedLog

_NONE_YET = (
    "No references yet. The first one is made from a roast that went well: press n, choose the "
    "roast in the Log, and press m there. Several good repeats picked with the space bar become "
    "their mean, with their spread as its corridor."
)
_GOOD = "verdict:good"


class ReferencesScreen(Screen[None]):
    """Lists what is in the book of a log; the book is closed with the screen."""

    AUTO_FOCUS = "#references"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "open", "Open", priority=True, tooltip="the story of this reference"),
        Binding("n", "new", "New", tooltip="make one from roasts of the Log"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="back to Today"),
    ]

    CSS = """
    #references-title { height: 1; padding: 0 1; background: $surface; text-style: bold; }
    #references-head { height: 1; padding: 0 1; color: $foreground 60%; text-wrap: nowrap; }
    #references { height: 1fr; border: none; padding: 0; background: $background; }
    #references > .option-list--option { padding: 0 1; }
    #references-empty { height: auto; padding: 1 2; }
    #references-trouble { height: auto; max-height: 5; padding: 0 1; color: $text-warning; }
    """

    def __init__(self, log: RoastLog) -> None:
        super().__init__()
        self._log = log
        self._shelved: list[Shelved] = []

    def compose(self) -> ComposeResult:
        yield Static("References", id="references-title")
        yield Static(id="references-trouble", markup=False)
        yield Static(id="references-head", markup=False)
        yield Static(_NONE_YET, id="references-empty", markup=False)
        yield OptionList(id="references", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        self._take_in()

    def on_unmount(self) -> None:
        self._log.close()

    @work(thread=True)
    def _take_in(self) -> None:
        self._log.taking_in.run()
        self.app.call_from_thread(self._show)

    def on_screen_resume(self) -> None:
        self._show()

    def on_resize(self, event: events.Resize) -> None:
        self.call_after_refresh(self._show)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_open()

    def action_open(self) -> None:
        """Open the reference that is chosen."""
        at = self._list.highlighted
        if at is not None and at < len(self._shelved):
            self.app.push_screen(ReferencePage(self._log, self._shelved[at].shown.reference_id))

    def action_new(self) -> None:
        """Choose roasts to make one from, the good ones if there are any."""
        log = SharedLog(self._log, _GOOD)
        if not log.count:
            log.narrow("")
        self.notify("Enter looks at a roast, space picks several; m makes a reference.")
        self.app.push_screen(LogScreen(log))

    def action_keys(self) -> None:
        """All keys."""
        self.app.push_screen(KeysScreen("References", keys_of(self)), self._act)

    def action_back(self) -> None:
        """Back to Today."""
        self.dismiss()

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    def _show(self) -> None:
        if not self.is_attached:
            return
        chosen = self._list.highlighted or 0
        unreadable = ""
        try:
            self._shelved = shelf(self._log.book)
        except BookError as error:
            self._shelved, unreadable = [], str(error)
        width = self._list.size.width - 2
        self._list.set_options(Option(line) for line in list_lines(self._shelved, width))
        if self._shelved:
            self._list.highlighted = min(chosen, len(self._shelved) - 1)
        self.query_one("#references-head", Static).update(list_head(width))
        self.query_one("#references-head").display = bool(self._shelved)
        unknown = self._shelved or unreadable or self._log.names_only
        self.query_one("#references-empty").display = not unknown
        trouble = unreadable or self._log.trouble or self._log.taking_in.trouble
        place = self.query_one("#references-trouble", Static)
        place.update(trouble)
        place.display = bool(trouble)

    @property
    def _list(self) -> OptionList:
        return self.query_one("#references", OptionList)
