"""All coffees: what there is of each, and how it is doing."""

from __future__ import annotations

from typing import ClassVar

from rich.text import Text
from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import OptionList, Static

from roastside.app.coffee_words import list_head, list_line
from roastside.app.screens.coffee_page import CoffeePage
from roastside.app.screens.coffees_form import RowsDialog
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.pointed_list import BLANK, Entry, PointedList
from roastside.book.coffees import CoffeeSummary, coffee_summaries
from roastside.core.errors import BookError
from roastside.live.coffee_changes import coffee_rows, keep_coffee
from roastside.live.coffees import why_not_now
from roastside.live.log import RoastLog

_NONE_YET = (
    "No coffees yet. One comes here by itself with its first roast; n writes one down before that."
)


class CoffeesScreen(Screen[None]):
    """Lists what is in the book of a log; the book is closed with the screen."""

    AUTO_FOCUS = "#coffees"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter",
            "open",
            "Open",
            priority=True,
            tooltip="this coffee: its lots, notes and roasts",
        ),
        Binding("n", "new", "New", tooltip="write down a new coffee"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="back to Today"),
    ]

    CSS = """
    #coffees-title { height: 1; padding: 0 1; background: $surface; text-style: bold; }
    #coffees-trouble { height: auto; max-height: 3; padding: 0 1; color: $text-warning; }
    #coffees-head { height: 1; color: $foreground 60%; text-wrap: nowrap; }
    #coffees { height: 1fr; }
    #coffees-empty { height: auto; padding: 1 2; }
    """

    def __init__(self, log: RoastLog) -> None:
        super().__init__()
        self._log = log
        self._coffees: list[CoffeeSummary] = []

    def compose(self) -> ComposeResult:
        yield Static("Coffees", id="coffees-title")
        yield Static(id="coffees-trouble", markup=False)
        yield Static(id="coffees-head", markup=False)
        yield Static(_NONE_YET, id="coffees-empty", markup=False)
        yield PointedList("coffees")
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
        """Open the coffee that is chosen."""
        at = self._list.highlighted
        if at is not None and at < len(self._coffees):
            self.app.push_screen(CoffeePage(self._log, self._coffees[at].coffee.id), self._show)

    def action_new(self) -> None:
        """Write down a new coffee."""
        if why := why_not_now(self._log):
            self.notify(why, severity="warning", markup=False)
            return
        book = self._log.book
        dialog = RowsDialog(
            "A new coffee", coffee_rows(), lambda texts, agreed: keep_coffee(book, None, texts)
        )
        self.app.push_screen(dialog, self._show)

    def action_keys(self) -> None:
        """All keys."""
        self.app.push_screen(KeysScreen("Coffees", keys_of(self)), self._act)

    def action_back(self) -> None:
        """Back to Today."""
        self.dismiss()

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    def _show(self, coffee_id: int | None = None) -> None:
        """Read the list anew; the cursor goes to a coffee, or stays at the one it was at."""
        if not self.is_attached:
            return
        at = self._list.highlighted or 0
        if coffee_id is None and at < len(self._coffees):
            coffee_id = self._coffees[at].coffee.id
        unreadable = ""
        try:
            self._coffees = coffee_summaries(self._log.book)
        except BookError as error:
            self._coffees, unreadable = [], f"{error}."
        ids = [each.coffee.id for each in self._coffees]
        width = self._list.room
        self._list.show(
            [Entry(Text(list_line(each, width))) for each in self._coffees],
            ids.index(coffee_id) if coffee_id in ids else at,
        )
        head = self.query_one("#coffees-head", Static)
        head.update(BLANK + list_head(width))
        head.display = bool(self._coffees)
        trouble = unreadable or self._log.trouble or self._log.taking_in.trouble
        self.query_one("#coffees-empty").display = not (self._coffees or trouble)
        place = self.query_one("#coffees-trouble", Static)
        place.update(trouble)
        place.display = bool(trouble)

    @property
    def _list(self) -> PointedList:
        return self.query_one("#coffees", PointedList)
