"""Filling in what is missing about a roast, over the roast itself."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.widgets import Button, Label, Static

from roastside.app.widgets.fact_form import FactForm
from roastside.book.coffees import coffee_called, coffees, lots
from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import BookError, RoastsideError
from roastside.live.filling_in import changes, keep, texts_of


class FillInScreen(ModalScreen[bool]):
    """Gives whether anything was kept. Nothing has to be filled in."""

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape", "leave", "Leave it"),
        ("ctrl+s", "keep", "Keep"),
    ]

    CSS = """
    FillInScreen .dialog { padding: 0 2; }
    FillInScreen #fill-in-trouble { height: auto; color: $text-warning; }
    FillInScreen VerticalScroll { max-height: 16; margin: 0; }
    """

    def __init__(self, book: Book, roast: Roast) -> None:
        super().__init__()
        self._book = book
        self._roast = roast
        self._asked_about: dict[str, str] | None = None

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog wide"):
            yield Label("Fill in what you know; everything may stay empty", classes="dialog-title")
            with VerticalScroll(can_focus=False):
                yield FactForm(texts_of(self._roast), self._known(self._coffees), self._lots_of)
            yield Static(id="fill-in-trouble", markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button("Keep  (Enter)", id="keep", variant="primary", compact=True)
                yield Button("Leave it  (Esc)", id="leave", compact=True)

    def _coffees(self) -> list[str]:
        return [coffee.name for coffee in coffees(self._book)]

    def _lots_of(self, name: str) -> list[str]:
        def lots_of() -> list[str]:
            found = coffee_called(self._book, name)
            return [lot.name for lot in lots(self._book, found.id)] if found else []

        return self._known(lots_of)

    def _known(self, read: Callable[[], list[str]]) -> list[str]:
        """What the book proposes; nothing, and a sentence below, if it cannot be read."""
        try:
            return read()
        except BookError as error:
            self.call_after_refresh(self._tell, str(error))
            return []

    def _tell(self, trouble: str) -> None:
        self.query_one("#fill-in-trouble", Static).update(trouble)

    def on_mount(self) -> None:
        self.query_one(FactForm).focus_first_empty()

    def on_descendant_focus(self) -> None:
        """Somebody goes on filling in."""
        self._asked_about = None

    def on_input_submitted(self) -> None:
        self.action_keep()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        if event.button.id == "keep":
            self.action_keep()
        else:
            self.action_leave()

    def action_keep(self) -> None:
        """Keep what was changed; what does not fit is said, and the form stays."""
        form = self.query_one(FactForm)
        try:
            changed = changes(form.before, form.texts())
            remark = keep(self._book, self._roast, changed)
        except RoastsideError as error:
            self._tell(str(error))
            return
        if remark:
            self.app.notify(remark, severity="warning", timeout=15.0, markup=False)
        self.dismiss(bool(changed))

    def action_leave(self) -> None:
        """Leave everything as it was; what was typed is given up the second time only."""
        form = self.query_one(FactForm)
        texts = form.texts()
        if texts in (form.before, self._asked_about):
            self.dismiss(False)
            return
        self._asked_about = texts
        self._tell("What you filled in is not kept yet: Ctrl+S keeps it; Esc again leaves it.")
