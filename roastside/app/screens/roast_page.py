"""A past roast opened: its curve, its figures, what was said of it, what can be done with it."""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from roastside.app.past_curves import glimpse, opened
from roastside.app.past_words import compared, head_of, page_lines, unfinished_words
from roastside.app.screens.fill_in import FillInScreen
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.overlay import OverlayScreen
from roastside.app.widgets.chart import ChartData, CurveChart
from roastside.app.widgets.foot import Foot
from roastside.book.rows import Roast
from roastside.core.errors import RecordError, RoastsideError
from roastside.core.side_by_side import RoastFigures
from roastside.live.after_roast import renewed
from roastside.live.log import RoastLog
from roastside.live.overlay import booked_figures
from roastside.live.past_curve import read_curve
from roastside.live.past_roast import HeldAgainst, PastRoast, look_into, reference_of


class RoastPage(Screen[None]):
    """Shows a roast of a RoastLog. What takes long to read comes a moment later."""

    AUTO_FOCUS = "#page-side"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,p", "replay", "Replay", tooltip="play the roast again"),
        Binding("e", "fill_in", "Fill in", tooltip="fill in what is missing, correct what is not"),
        Binding("c", "compare", "Compare", tooltip="with its reference, then each picked roast"),
        Binding("o", "overlay", "Overlay", tooltip="lay it over the picked roasts"),
        Binding("space", "pick", "Pick", tooltip="pick it to be compared, or no longer"),
        Binding("m", "make_reference", "Reference", tooltip="make a reference from it"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="back to the list"),
    ]

    CSS = """
    #page-head { height: 1; padding: 0 1; background: $surface; text-style: bold; }
    #page-unfinished { height: auto; padding: 0 1; color: $text-warning; }
    #page-middle { height: 1fr; layout: vertical; }
    #page-chart { height: 1fr; }
    #page-side { height: 10; padding: 0 1; border-top: solid $foreground 20%; }
    #page-side:focus { border-top: solid $foreground 50%; }
    #page-words { height: auto; }
    RoastPage.wide #page-middle { layout: horizontal; }
    RoastPage.wide #page-chart { width: 1fr; height: 100%; }
    RoastPage.wide #page-side {
        width: 64;
        height: 100%;
        border-top: none;
        border-left: solid $foreground 20%;
    }
    RoastPage.wide #page-side:focus { border-top: none; border-left: solid $foreground 50%; }
    """

    class Replay(Message):
        """A person wants to see this roast played again."""

        def __init__(self, path: Path, roast: Roast) -> None:
            super().__init__()
            self.path = path
            self.roast = roast

    class MakeReference(Message):
        """A person wants a reference made from this roast, in the book of the log."""

        def __init__(self, roast: Roast, log: RoastLog) -> None:
            super().__init__()
            self.roast = roast
            self.log = log

    def __init__(self, roast: Roast, log: RoastLog) -> None:
        super().__init__()
        self._roast = roast
        self._log = log
        self._past: PastRoast | None = None
        self._held: HeldAgainst | None = None
        self._trouble = ""
        self._compared_with = -1

    def compose(self) -> ComposeResult:
        yield Static(id="page-head", markup=False)
        yield Static(id="page-unfinished", markup=False)
        with Horizontal(id="page-middle"):
            yield CurveChart(id="page-chart")
            with VerticalScroll(id="page-side"):
                yield Static(id="page-words", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        try:
            curve = read_curve(self._path)
        except RecordError as error:
            self._trouble = str(error)
        else:
            self._chart(glimpse(curve, self._log.degrees))
        self._held = reference_of(self._log.book, self._roast)
        self._tell()
        self._look_closer()

    def on_resize(self, event: events.Resize) -> None:
        self.set_class(event.size.width >= 120, "wide")
        self.call_after_refresh(self._tell)

    def action_replay(self) -> None:
        """Play it again."""
        self.post_message(self.Replay(self._path, self._roast))

    def action_make_reference(self) -> None:
        """Make a reference from it."""
        self.post_message(self.MakeReference(self._roast, self._log))

    def action_fill_in(self) -> None:
        """Fill in what is missing."""
        if self._log.taking_in.busy:
            self.notify("New roasts are being taken into the book: try again in a moment.")
            return
        self._renew()
        self.app.push_screen(FillInScreen(self._log.book, self._roast), self._filled_in)

    def action_compare(self) -> None:
        """Hold it against the next of what it can be held against; after the last, none."""
        others = self._others()
        if not others:
            self.notify("Nothing to compare it with: it has no reference, and none are picked.")
            return
        self._compared_with += 1
        if self._compared_with >= len(others):
            self._compared_with = -1
        self._tell()

    def action_overlay(self) -> None:
        """Lay it over the picked roasts."""
        picked = [roast for roast in self._log.picked.values() if roast.id != self._roast.id]
        self.app.push_screen(OverlayScreen([*picked, self._roast], self._log))

    def action_pick(self) -> None:
        """Put it aside to be compared, or back."""
        self._log.pick(self._roast)
        self._tell()

    def action_keys(self) -> None:
        """All keys."""
        self.app.push_screen(KeysScreen("A past roast", keys_of(self)), self._act)

    def action_back(self) -> None:
        """Back to the list."""
        self.dismiss()

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    def _filled_in(self, kept: bool | None) -> None:
        if not kept:
            return
        self._renew()
        if self._roast.id in self._log.picked:
            self._log.picked[self._roast.id] = self._roast
        self._tell()
        self._look_closer()

    def _renew(self) -> None:
        """See what the recording tells of the roast by now: another may have filled it in."""
        try:
            self._roast = renewed(self._log.book, self._roast)
        except RoastsideError as error:
            self.notify(str(error), severity="error", markup=False)

    @work(thread=True, exclusive=True)
    def _look_closer(self) -> None:
        try:
            past = look_into(self._path, self._log.degrees)
        except RoastsideError as error:
            self.app.call_from_thread(self._looked, None, str(error))
        else:
            self.app.call_from_thread(self._looked, past, "")

    def _looked(self, past: PastRoast | None, trouble: str) -> None:
        if not self.is_attached:
            return
        self._past, self._trouble = past, trouble
        if past is not None:
            self._chart(opened(past, self._held, self._log.degrees))
        self._tell()

    def _chart(self, data: ChartData) -> None:
        self.query_one(CurveChart).data = data

    def _others(self) -> list[RoastFigures]:
        """What it can be held against: its reference, then the picked roasts."""
        picked = [roast for roast in self._log.picked.values() if roast.id != self._roast.id]
        held = [self._held.figures] if self._held is not None else []
        return [*held, *map(booked_figures, picked)]

    def _tell(self) -> None:
        roast, degrees = self._roast, self._log.degrees
        picked = "● picked · " if roast.id in self._log.picked else ""
        self.query_one("#page-head", Static).update(picked + head_of(roast))
        unfinished = self.query_one("#page-unfinished", Static)
        unfinished.update(unfinished_words(roast))
        unfinished.display = bool(roast.unfinished)
        lines = [self._trouble, ""] if self._trouble else []
        others = self._others()
        if 0 <= self._compared_with < len(others):
            lines += [*compared(others[self._compared_with], booked_figures(roast), degrees), ""]
        width = self.query_one("#page-side").content_size.width
        lines += page_lines(roast, self._past, degrees, width)
        self.query_one("#page-words", Static).update("\n".join(lines))

    @property
    def _path(self) -> Path:
        return self._log.book.located(self._roast.file)
