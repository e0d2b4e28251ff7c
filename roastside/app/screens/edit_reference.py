"""A new version of a reference: by an edit of an earlier one, or out of roasts."""

from __future__ import annotations

from datetime import datetime
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.screen import Screen
from textual.suggester import SuggestFromList
from textual.timer import Timer
from textual.widget import Widget
from textual.widgets import Input, Label, Static

from roastside.app.reference_curves import rate_chart, version_chart
from roastside.app.widgets.chart import CurveChart
from roastside.app.widgets.field import Field
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.tick_box import TickBox
from roastside.core.change import Change, edited
from roastside.core.errors import BookError, RoastsideError, UsageError
from roastside.live.log import RoastLog
from roastside.live.new_version import (
    Beginning,
    Begun,
    KeptVersion,
    Wish,
    begun,
    keep_version,
    people_known,
    title_to_be,
)

_WAIT_S = 0.1
"""An edit is worked out when the keys rest, so that typing is never held up."""

_SAY = "browning 20 s longer and drop 1.5 °C lower"
_HOW = (
    "Say what is to change: browning 20 s longer · first crack 10 s earlier · drop 1.5 °C lower · "
    "gentler start · rate at first crack 1 °C/min less · charge 5 °C cooler. Join several by "
    "'and' or a comma."
)
_NOT_KEPT = "It is not kept yet: Ctrl+S keeps it, Esc once more leaves it for good."


class EditReference(Screen[KeptVersion | None]):
    """Shows before and after while an edit is typed. Gives what was kept, if anything was."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+s", "keep", "Keep", tooltip="keep it as a new version"),
        Binding("escape", "leave", "Leave it", tooltip="leave without keeping it"),
        Binding("pageup", "read_on(-1)", show=False),
        Binding("pagedown", "read_on(1)", "Read on", tooltip="the rest of what changes"),
    ]

    CSS = """
    #new-title { height: 1; padding: 0 1; background: $surface; text-style: bold; }
    EditReference .line { height: 1; padding: 0 1; background: $surface; }
    EditReference .line Label { width: 9; }
    EditReference .line Input { width: 1fr; }
    EditReference .line TickBox { width: auto; margin-left: 2; }
    EditReference .second { width: auto; margin-left: 2; }
    #new-trouble { height: auto; color: $text-warning; }
    #new-middle { height: 1fr; layout: vertical; }
    #new-drawn { height: 1fr; }
    #new-chart { height: 2fr; }
    #new-rate { height: 1fr; min-height: 5; }
    #new-told { height: 5; padding: 0 1; border-top: solid $foreground 20%; }
    #new-words { height: auto; }
    EditReference.wide #new-middle { layout: horizontal; }
    EditReference.wide #new-drawn { width: 1fr; height: 100%; }
    EditReference.wide #new-told {
        width: 56;
        height: 100%;
        border-top: none;
        border-left: solid $foreground 20%;
    }
    """

    def __init__(self, log: RoastLog, beginning: Beginning) -> None:
        super().__init__()
        self._log = log
        self._beginning = beginning
        self._begun: Begun | None = None
        self._change: Change | None = None
        self._resting: Timer | None = None
        self._typed_before = ""
        self._warned = False

    @property
    def _is_edit(self) -> bool:
        return self._beginning.origin == "edit"

    def compose(self) -> ComposeResult:
        beginning = self._beginning
        yield Static(id="new-title", markup=False)
        if self._is_edit:
            yield _line("Change", _text("new-change", _SAY))
        else:
            coffee = _text("new-coffee", "none", beginning.coffee)
            yield _line("Name", _text("new-name", "", beginning.name), _second("Coffee"), coffee)
        people = self._people()
        author = _text("new-author", "may be empty", next(iter(people), ""), people)
        tick = TickBox("make it current", value=True, compact=True, id="new-current")
        yield _line("Why", _text("new-reason", "what it should do better; may be empty"))
        yield _line("By", author, tick)
        with Horizontal(id="new-middle"):
            with Vertical(id="new-drawn"):
                yield CurveChart(id="new-chart")
                if self._is_edit:
                    yield CurveChart(id="new-rate")
            with VerticalScroll(id="new-told", can_focus=False):
                yield Static(id="new-trouble", markup=False)
                yield Static("Reading…", id="new-words", markup=False)
        yield Foot()

    def _people(self) -> list[str]:
        """Who may be making this version; nobody is proposed if the book cannot be read."""
        try:
            return people_known(self._log.book)
        except BookError as error:
            self.call_after_refresh(self._say, str(error))
            return []

    def on_mount(self) -> None:
        self.query(Input).first().focus()
        self._typed_before = self._all_typed()
        self._tell_title()
        self._read()

    def on_resize(self, event: events.Resize) -> None:
        self.set_class(event.size.width >= 120, "wide")

    @work(thread=True)
    def _read(self) -> None:
        try:
            found = begun(self._beginning, self._log.degrees)
        except RoastsideError as error:
            self.app.call_from_thread(self._cannot_begin, str(error))
        else:
            self.app.call_from_thread(self._has_begun, found)

    def _cannot_begin(self, why: str) -> None:
        if self.is_attached:
            self._say(why)
            self.query_one("#new-words", Static).update("Nothing can be made of it. Esc leaves.")

    def _has_begun(self, found: Begun) -> None:
        if self.is_attached:
            self._begun = found
            self._work_out()

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        self._warned = False
        if event.input.id == "new-name":
            self._tell_title()
        elif event.input.id == "new-change":
            self._stop_resting()
            self._resting = self.set_timer(_WAIT_S, self._work_out)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on to the next line; in the last one it keeps."""
        event.stop()
        if event.input.id == "new-author":
            self.action_keep()
        else:
            self.focus_next(Input)

    def action_keep(self) -> None:
        """Keep it as a new version."""
        if self._log.taking_in.busy:
            self._say("New roasts are being taken into the book: try again in a moment.")
            return
        self._work_out()
        reference = self._change.after if self._change is not None else None
        if self._begun is None:
            return
        if self._is_edit and reference is None:
            if not self._typed("new-change"):
                self._say("Nothing is changed yet, so there is no new version to keep.")
            return
        beginning, now = self._beginning, datetime.now().astimezone()
        try:
            kept = keep_version(
                self._log.book, beginning, reference or self._begun.reference, self._wish(), now
            )
        except RoastsideError as error:
            self._say(str(error))
            return
        current = self.query_one("#new-current", TickBox).value
        words = f"{kept.title} is kept{' and is current now' if current else ''}."
        if kept.remark:
            self.app.notify(kept.remark, severity="warning", timeout=15.0, markup=False)
        else:
            self.app.notify(words, markup=False)
        self.dismiss(kept)

    def action_leave(self) -> None:
        """Leave without keeping it; what was typed is not lost without a word."""
        if self._all_typed() == self._typed_before or self._warned:
            self.dismiss(None)
        else:
            self._say(_NOT_KEPT)
            self._warned = True

    def action_read_on(self, pages: int) -> None:
        """Scroll what is told."""
        told = self.query_one("#new-told")
        told.scroll_relative(y=pages * max(told.size.height - 1, 1), animate=False)

    def _work_out(self) -> None:
        """Before and after of what is typed now."""
        # Once more when the keys rest would take away what Ctrl+S had to say.
        self._stop_resting()
        if self._begun is None or not self.is_attached:
            return
        self._change, trouble = None, ""
        before, degrees = self._begun.reference, self._log.degrees
        if self._is_edit and (typed := self._typed("new-change")):
            try:
                self._change = edited(before, typed, degrees)
            except UsageError as error:
                trouble = str(error)
        self._say(trouble)
        after = before if self._change is None else self._change.after
        shown_before = before if self._is_edit else None
        self.query_one("#new-chart", CurveChart).data = version_chart(after, shown_before, degrees)
        if self._is_edit:
            self.query_one("#new-rate", CurveChart).data = rate_chart(
                self._change, degrees, before.end_s
            )
        words = self._begun.told if self._change is None else self._change.words
        if self._is_edit and self._change is None:
            words = (*words, _HOW)
        self.query_one("#new-words", Static).update("\n".join(words))

    def _stop_resting(self) -> None:
        if self._resting is not None:
            self._resting.stop()

    def _tell_title(self) -> None:
        beginning = self._beginning
        try:
            title = title_to_be(self._log.book, self._wish().name, beginning.own_title)
        except RoastsideError as error:
            self._say(str(error))
            return
        self._say("")
        count = len(beginning.files)
        out_of = {
            "edit": f"from {beginning.followed} by an edit",
            "roast": f"from {beginning.called[0]}",
            "repeats": f"the mean of {count} roasts",
        }[beginning.origin]
        self.query_one("#new-title", Static).update(f"New: {title}, {out_of}")

    def _wish(self) -> Wish:
        beginning = self._beginning
        return Wish(
            beginning.name if self._is_edit else self._typed("new-name"),
            beginning.coffee if self._is_edit else self._typed("new-coffee"),
            self._typed("new-change") if self._is_edit else "",
            self._typed("new-author"),
            self._typed("new-reason"),
            self.query_one("#new-current", TickBox).value,
        )

    def _all_typed(self) -> str:
        return "\n".join(field.value for field in self.query(Input))

    def _typed(self, field: str) -> str:
        return self.query_one(f"#{field}", Input).value.strip()

    def _say(self, sentence: str) -> None:
        place = self.query_one("#new-trouble", Static)
        place.update(sentence)
        place.display = bool(sentence)
        if sentence:
            self.query_one("#new-told").scroll_home(animate=False)


def _line(words: str, *fields: Widget) -> Horizontal:
    return Horizontal(Label(words), *fields, classes="line")


def _second(words: str) -> Label:
    return Label(words, classes="second")


def _text(name: str, hint: str, value: str = "", names: list[str] | None = None) -> Field:
    return Field(
        value,
        id=name,
        compact=True,
        placeholder=hint,
        suggester=SuggestFromList(names, case_sensitive=False) if names else None,
        select_on_focus=False,
        max_length=400,
    )
