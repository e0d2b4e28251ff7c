"""A few rows to fill in about a coffee, a lot or a note, over what they are about."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import ModalScreen
from textual.suggester import SuggestFromList
from textual.widget import Widget
from textual.widgets import Button, Checkbox, Input, Label, Static

from roastside.app.screens.ask import AskDialog
from roastside.app.widgets.field import Field
from roastside.app.widgets.tick_box import TickBox
from roastside.core.errors import RoastsideError
from roastside.live.coffee_changes import TICKED, Question, Row

Keep = Callable[[Mapping[str, str], bool], int | Question]
"""Keeps the texts by key; what is to be agreed to first is asked, and then it is told True."""

_NOT_KEPT = "It is not kept yet: Ctrl+S keeps it, Esc once more leaves it for good."


class RowsDialog(ModalScreen[int | None]):
    """Gives the id of what was kept, None if it was left.

    What does not fit is said in a sentence, and everything typed stays.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        ("escape", "leave", "Leave it"),
        ("ctrl+s", "keep", "Keep"),
    ]

    CSS = """
    RowsDialog .dialog { padding: 0 2; }
    RowsDialog VerticalScroll { max-height: 12; margin: 0; }
    RowsDialog .line { height: 1; }
    RowsDialog .line Label { width: 13; }
    RowsDialog .line Input { width: 1fr; }
    RowsDialog TickBox { height: 1; margin-left: 13; }
    RowsDialog #rows-trouble { height: auto; color: $text-warning; }
    """

    def __init__(self, title: str, rows: Sequence[Row], keep: Keep) -> None:
        super().__init__()
        self._title = title
        self._rows = rows
        self._keep = keep
        self._warned = False

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog wide"):
            yield Label(self._title, classes="dialog-title", markup=False)
            with VerticalScroll(can_focus=False):
                for row in self._rows:
                    yield _line(row)
            yield Static(id="rows-trouble", markup=False)
            with Horizontal(classes="dialog-buttons"):
                yield Button("Keep  (Enter)", id="keep", variant="primary", compact=True)
                yield Button("Leave it  (Esc)", id="leave", compact=True)

    def on_mount(self) -> None:
        self.query_one(f"#{_id(self._rows[0])}").focus()

    def on_input_changed(self) -> None:
        self._warned = False

    def on_checkbox_changed(self) -> None:
        self._warned = False

    def on_input_submitted(self) -> None:
        self.action_keep()

    def on_button_pressed(self, event: Button.Pressed) -> None:
        if event.button.id == "keep":
            self.action_keep()
        else:
            self.action_leave()

    def action_keep(self) -> None:
        """Keep it."""
        self._try_to_keep(agreed=False)

    def action_leave(self) -> None:
        """Leave everything as it was; what was typed is not lost without a word."""
        if self._warned or self._texts() == {row.key: row.text for row in self._rows}:
            self.dismiss(None)
        else:
            self._warned = True
            self._say(_NOT_KEPT)

    def _try_to_keep(self, agreed: bool) -> None:
        try:
            kept = self._keep(self._texts(), agreed)
        except RoastsideError as error:
            self._say(str(error))
            return
        if isinstance(kept, Question):
            question = AskDialog(kept.title, kept.text, kept.yes)
            self.app.push_screen(question, self._answered)
        else:
            self.dismiss(kept)

    def _answered(self, agreed: bool | None) -> None:
        if agreed:
            self._try_to_keep(agreed=True)

    def _texts(self) -> dict[str, str]:
        return {row.key: self._text(row) for row in self._rows}

    def _text(self, row: Row) -> str:
        if row.tick:
            return TICKED if self.query_one(f"#{_id(row)}", Checkbox).value else ""
        return self.query_one(f"#{_id(row)}", Input).value

    def _say(self, sentence: str) -> None:
        self.query_one("#rows-trouble", Static).update(sentence)


def _line(row: Row) -> Widget:
    if row.tick:
        return TickBox(row.words, value=row.text == TICKED, compact=True, id=_id(row))
    field = Field(
        row.text,
        placeholder=row.hint,
        suggester=SuggestFromList(row.names, case_sensitive=False) if row.names else None,
        max_length=max(row.longest, len(row.text)),
        compact=True,
        id=_id(row),
    )
    return Horizontal(Label(row.words), field, classes="line")


def _id(row: Row) -> str:
    return "row-" + row.key.replace("_", "-")
