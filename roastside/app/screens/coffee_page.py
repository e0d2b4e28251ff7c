"""One coffee: what it is, its lots of green, and what people wrote about it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from typing import ClassVar

from rich.text import Text
from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import OptionList, Static

from roastside.app.coffee_words import about_text, lot_text, note_text, page_head
from roastside.app.screens.coffees_form import Keep, RowsDialog
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.log import LogScreen
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.pointed_list import Entry, PointedList
from roastside.book.filters import called
from roastside.core.errors import RoastsideError
from roastside.live.coffee_changes import (
    Question,
    Row,
    coffee_rows,
    keep_coffee,
    keep_lot,
    keep_note,
    lot_rows,
    note_rows,
)
from roastside.live.coffees import CoffeeStory, coffee_story, why_not_now
from roastside.live.log import RoastLog
from roastside.live.shared_log import SharedLog

_ABOUT, _LOT, _NOTE = "about", "lot", "note"

Thing = tuple[str, int]
"""What a line of the list is about: one of these, and its id."""

Told = tuple[Thing, Text]

_NOTHING: Thing = ("", 0)
"""A heading is about nothing."""


class CoffeePage(Screen[int]):
    """Tells of a coffee in the book of a log. Gives the id of the coffee it was left at."""

    AUTO_FOCUS = "#coffee"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "change", "Change", priority=True, tooltip="change what the cursor is at"),
        Binding("e", "edit", "Edit", tooltip="its name, whether it is a decaf, its remarks"),
        Binding("a", "add_lot", "Add lot", tooltip="add a lot of green"),
        Binding("w", "write", "Note", tooltip="write a note about this coffee"),
        Binding("r", "roasts", "Roasts", tooltip="its roasts, in the Log"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="back to the list"),
    ]

    CSS = """
    #coffee-title { height: 1; padding: 0 1; background: $surface; text-style: bold; }
    #coffee-trouble { height: auto; max-height: 3; padding: 0 1; color: $text-warning; }
    #coffee { height: 1fr; }
    """

    def __init__(self, log: RoastLog, coffee_id: int) -> None:
        super().__init__()
        self._log = log
        self._coffee_id = coffee_id
        self._story: CoffeeStory | None = None
        self._things: list[Thing] = []

    def compose(self) -> ComposeResult:
        yield Static(id="coffee-title", markup=False)
        yield Static(self._log.trouble, id="coffee-trouble", markup=False)
        yield PointedList("coffee")
        yield Foot()

    def on_mount(self) -> None:
        self.query_one("#coffee-trouble").display = bool(self._log.trouble)

    def on_screen_resume(self) -> None:
        """At first, and coming back from where roasts may have changed."""
        self._look()

    def on_resize(self, event: events.Resize) -> None:
        self.call_after_refresh(self._tell)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_change()

    def action_change(self) -> None:
        """Change what the cursor is at."""
        if (at := self._list.highlighted) is None:
            return
        about, thing_id = self._things[at]
        if about == _LOT:
            self._change_lot(thing_id)
        elif about == _NOTE:
            self.notify("A note stays as it was written; w writes another one.")
        else:
            self.action_edit()

    def action_edit(self) -> None:
        """Change the name, whether it is a decaf, and the remarks."""
        if (story := self._story) is None:
            return
        book, coffee = self._log.book, story.summary.coffee

        def keep(texts: Mapping[str, str], agreed: bool) -> int | Question:
            kept = keep_coffee(book, coffee.id, texts, agreed)
            if isinstance(kept, int):
                # Before this screen is back, and reads anew the one that it tells of.
                self._coffee_id = kept
            return kept

        self._ask(f"The coffee {coffee.name}", coffee_rows(coffee), keep, lambda _: self._look())

    def _change_lot(self, lot_id: int) -> None:
        """Change what is known of a lot."""
        if (story := self._story) is not None:
            book, coffee = self._log.book, story.summary.coffee
            lot = next(lot for lot, _ in story.lots if lot.id == lot_id)
            self._ask(
                f"The lot {lot.name} of {coffee.name}",
                lot_rows(lot),
                lambda texts, agreed: keep_lot(book, coffee.id, lot.id, texts, agreed),
                self._have_lot,
            )

    def action_add_lot(self) -> None:
        """Add a lot of green."""
        if (story := self._story) is not None:
            book, coffee = self._log.book, story.summary.coffee
            self._ask(
                f"A new lot of {coffee.name}",
                lot_rows(),
                lambda texts, agreed: keep_lot(book, coffee.id, None, texts, agreed),
                self._have_lot,
            )

    def action_write(self) -> None:
        """Write a note about this coffee."""
        if (story := self._story) is not None:
            book, coffee = self._log.book, story.summary.coffee
            self._ask(
                f"Note about {coffee.name}",
                note_rows(book),
                lambda texts, agreed: keep_note(
                    book, coffee.id, texts, datetime.now().astimezone()
                ),
                self._have_note,
            )

    def action_roasts(self) -> None:
        """Open the Log with its roasts."""
        if (story := self._story) is not None:
            if story.summary.roasts:
                log = SharedLog(self._log, called("coffee", story.summary.coffee.name))
                self.app.push_screen(LogScreen(log))
            else:
                self.notify(f"{story.summary.coffee.name} is not roasted yet.", markup=False)

    def action_keys(self) -> None:
        """All keys."""
        self.app.push_screen(KeysScreen("A coffee", keys_of(self)), self._act)

    def action_back(self) -> None:
        """Back to the list."""
        self.dismiss(self._coffee_id)

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    def _ask(
        self, title: str, rows: Sequence[Row], keep: Keep, then: Callable[[int], None]
    ) -> None:
        """Have rows filled in, unless nothing can be changed now: then that is said."""
        if why := why_not_now(self._log):
            self.notify(why, severity="warning", markup=False)
            return

        def answered(kept: int | None) -> None:
            if kept is not None:
                then(kept)

        self.app.push_screen(RowsDialog(title, rows, keep), answered)

    def _have_lot(self, lot_id: int) -> None:
        self._look((_LOT, lot_id))

    def _have_note(self, note_id: int) -> None:
        self._look((_NOTE, note_id))

    def _look(self, at: Thing | None = None) -> None:
        """Read everything anew; the cursor goes to a thing, or stays at the one it was at."""
        place = self._list.highlighted
        wanted = at or (self._things[place] if place is not None else (_ABOUT, 0))
        try:
            self._story = coffee_story(self._log.book, self._coffee_id)
        except RoastsideError as error:
            self.notify(str(error), severity="error", markup=False)
            self.dismiss(self._coffee_id)
            return
        self._tell(wanted)

    def _tell(self, wanted: Thing | None = None) -> None:
        if (story := self._story) is None or not self.is_attached:
            return
        place = self._list.highlighted or 0
        self.query_one("#coffee-title", Static).update(page_head(story))
        width = self._list.room
        entries = [
            ((_ABOUT, 0), about_text(story, width)),
            *_headed(
                "Lots of green",
                "none yet: a adds one",
                [((_LOT, lot.id), lot_text(lot, roasts, width)) for lot, roasts in story.lots],
            ),
            *_headed(
                "Notes",
                "none yet: w writes one",
                [((_NOTE, note.id), note_text(note, width)) for note in story.notes],
            ),
        ]
        self._things = [thing for thing, _ in entries]
        place = self._things.index(wanted) if wanted in self._things else place
        self._list.show([Entry(text, chosen=thing != _NOTHING) for thing, text in entries], place)

    @property
    def _list(self) -> PointedList:
        return self.query_one("#coffee", PointedList)


def _headed(heading: str, none: str, entries: list[Told]) -> list[Told]:
    """The entries under a heading, which says so if there are none."""
    if entries:
        return [(_NOTHING, Text(f"\n{heading}", style="bold")), *entries]
    return [(_NOTHING, Text.assemble(("\n" + heading, "bold"), f"\n{none}"))]
