"""The Log: all past roasts, narrowed by what is typed, sorted, picked to be compared, opened."""

from __future__ import annotations

import time
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal
from textual.screen import Screen
from textual.timer import Timer
from textual.widgets import Input, Label, Static

from roastside.app.screens.edit_reference import EditReference
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.overlay import OverlayScreen
from roastside.app.screens.reading import ReadingDialog
from roastside.app.screens.roast_page import RoastPage
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.roast_table import RoastTable
from roastside.book.filters import misunderstood
from roastside.book.rows import Roast
from roastside.live.log import RoastLog
from roastside.live.new_version import begin_with_roasts

_HELP = (
    "words  coffee:decaf  reference:v3  verdict:good  since:2026-03  loss>15 total<11",
    "words · coffee:quarry lot: reference: · verdict:good verdict:none is:unfinished"
    " · since:2026-03 until: · loss>15 drop>=205 total<11 ratio worst score",
)
"""What can be typed: the longest that fits is shown."""

_NO_ROASTS = (
    "No roasts yet. Start one on the Today screen and it is listed here when it is over; or put "
    "roast files into the folder {folder}."
)
_NOT_FOUND = "No roast fits “{text}”. Esc takes the words away."
_REFUSED = "{files} could not be read, so not listed: N shows which, and why."
_NONE_REFUSED = "Every file in the folders of recordings and references could be read."
_MOST_LAID_OVER = 200
_LOOK_S = 0.25

_TAKE_IN_S = 20.0
"""Another screen may roast while this one lists: what it has recorded comes in by itself."""

_SHARE_OF_TIME = 0.01
_AT_LEAST_EVERY_S = 120.0
"""Looking for it takes no larger share, however many files there are, but is not put off longer."""


class LogScreen(Screen[None]):
    """Wires what is typed and picked to a RoastLog and draws it."""

    AUTO_FOCUS = "#roasts"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "find", "Find", key_display="/", tooltip="type to find roasts"),
        Binding("s", "sort(1)", "Sort", tooltip="sort by the next column"),
        Binding("S", "sort(-1)", "Sort back", show=False, tooltip="sort by the column before"),
        Binding("r", "turn_round", "Reverse", tooltip="the other way round"),
        Binding("o", "overlay", "Overlay", tooltip="lay the picked roasts over each other"),
        Binding("O", "overlay_all", "Overlay all", show=False, tooltip="the same of all listed"),
        Binding(
            "m", "make_reference", "Reference", tooltip="make one from what is picked, or from this"
        ),
        Binding("x", "pick_none", "Unpick", show=False, tooltip="nothing is picked any more"),
        Binding("N", "refused", "Not listed", show=False, tooltip="files that could not be read"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="take the words away; then leave"),
        Binding("up", "table('move(-1)')", show=False),
        Binding("down", "table('move(1)')", show=False),
        Binding("pageup", "table('page(-1)')", show=False),
        Binding("pagedown", "table('page(1)')", show=False),
    ]

    CSS = """
    #log-top { height: 1; padding: 0 1; background: $surface; }
    #log-top Label { text-style: bold; margin-right: 2; }
    #log-top Input { width: 1fr; }
    #log-count { width: 34; text-align: right; color: $foreground 80%; }
    #log-help { height: 1; color: $foreground 60%; text-wrap: nowrap; }
    #log-trouble { height: auto; max-height: 5; padding: 0 1; color: $text-warning; }
    #log-empty { height: auto; padding: 1 2; }
    #roasts { height: 1fr; }
    """

    def __init__(self, log: RoastLog) -> None:
        super().__init__()
        self._log = log
        self._looking: Timer | None = None

    def compose(self) -> ComposeResult:
        with Horizontal(id="log-top"):
            yield Label("Log")
            yield Input(
                self._log.text,
                placeholder="/ finds roasts",
                compact=True,
                select_on_focus=False,
                id="log-find",
            )
            yield Static(id="log-count", markup=False)
        yield Static(id="log-help", markup=False)
        yield Static(id="log-trouble", markup=False)
        yield Static(id="log-empty", markup=False)
        yield RoastTable(self._log, id="roasts")
        yield Foot()

    def on_unmount(self) -> None:
        self._log.close()

    def on_mount(self) -> None:
        self._tell()
        self._looking = self.set_interval(_LOOK_S, self._tell)
        self._take_in()

    def _take_in_again(self) -> None:
        if not self.is_current:
            self._wait_for_more(0.0)
            return
        if self._looking is not None:
            self._looking.resume()
        self._log.try_to_write()
        self._take_in()

    def _wait_for_more(self, took_s: float) -> None:
        wait_s = min(max(_TAKE_IN_S, took_s / _SHARE_OF_TIME), _AT_LEAST_EVERY_S)
        self.set_timer(wait_s, self._take_in_again)

    @work(thread=True)
    def _take_in(self) -> None:
        begun_s = time.monotonic()
        self._log.taking_in.run()
        self.app.call_from_thread(self._taken_in, time.monotonic() - begun_s)

    def _taken_in(self, took_s: float) -> None:
        if self._looking is not None:
            self._looking.pause()
        if self.is_attached:
            if self._log.is_outdated():
                self._table.look_again()
            self._tell()
            # What took long because there was much to take in will not the next time.
            self._wait_for_more(0.0 if self._log.taking_in.count else took_s)

    def on_resize(self, event: events.Resize) -> None:
        fitting = [words for words in _HELP if len(words) <= event.size.width]
        self.query_one("#log-help", Static).update((fitting or _HELP[:1])[-1])

    def on_screen_resume(self) -> None:
        """Coming back from a roast, whose facts may have changed."""
        self._table.look_again(stay=True)
        self._tell()

    def on_key(self, event: events.Key) -> None:
        """A letter that is no key begins to find."""
        typed, is_key = event.character, event.key in self.active_bindings
        if typed and event.is_printable and not is_key and self.focused is self._table:
            event.stop()
            self.action_find()
            self._find.insert_text_at_cursor(typed)

    def on_input_changed(self, event: Input.Changed) -> None:
        event.stop()
        if event.value != self._log.text:
            self._log.narrow(event.value)
            self._table.show_again(from_the_top=True)
            self._tell()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        event.stop()
        self._table.focus()

    def on_roast_table_opened(self, event: RoastTable.Opened) -> None:
        self.app.push_screen(RoastPage(event.roast, self._log))

    def on_roast_table_changed(self) -> None:
        self._tell()

    def action_table(self, action: str) -> None:
        """The arrows move in the list while words are typed."""
        self.call_later(self._table.run_action, action)

    def action_find(self) -> None:
        """Go to the line where words are typed."""
        self._find.focus()

    def action_sort(self, step: int) -> None:
        """Sort by another column."""
        self._table.sort_next(step)

    def action_turn_round(self) -> None:
        """The last first."""
        self._table.turn_round()

    def action_pick_none(self) -> None:
        """Forget what was picked."""
        self._log.picked.clear()
        self._table.show_again()
        self._tell()

    def action_overlay(self) -> None:
        """Lay the picked roasts over each other."""
        if self._log.picked:
            self._lay_over(list(self._log.picked.values()))
        else:
            self.notify("Pick roasts with the space bar first; O takes all that are listed.")

    def action_overlay_all(self) -> None:
        """Lay all that are listed over each other."""
        if self._log.count > _MOST_LAID_OVER:
            self.notify(f"The first {_MOST_LAID_OVER} of {self._log.count:,} are laid over.")
        self._lay_over(self._log.shown(_MOST_LAID_OVER))

    def action_make_reference(self) -> None:
        """Make a reference from the picked roasts, or else from the one under the cursor."""
        under = self._table.roast
        roasts = list(self._log.picked.values()) or ([under] if under is not None else [])
        if roasts:
            beginning = begin_with_roasts(self._log.book, roasts)
            self.app.push_screen(EditReference(self._log, beginning))

    def action_refused(self) -> None:
        """Which files could not be read, and why."""
        if refused := self._log.taking_in.refused:
            text = "\n\n".join(refused.values())
            self.app.push_screen(ReadingDialog(f"Not listed: {len(refused)}", text))
        else:
            self.notify(_NONE_REFUSED)

    def action_back(self) -> None:
        """From the words to the list, then without the words, then away."""
        if self.focused is self._find:
            self._table.focus()
        elif self._log.text:
            self._find.value = ""
        else:
            self.dismiss()

    def action_keys(self) -> None:
        """All keys."""
        keys = keys_of(self)
        keys += [
            (self.app.get_key_display(active.binding), active.binding)
            for active in self.active_bindings.values()
            if active.node is self._table and active.binding.show
        ]
        self.app.push_screen(KeysScreen("Log: past roasts", keys), self._act)

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    def _lay_over(self, roasts: list[Roast]) -> None:
        if roasts:
            self.app.push_screen(OverlayScreen(roasts, self._log))

    def _tell(self) -> None:
        log = self._log
        taking = log.taking_in
        every = "1 roast" if log.total == 1 else f"{log.total:,} roasts"
        count = f"{log.count:,} of {log.total:,}" if log.text.strip() else every
        if log.picked:
            count = f"{len(log.picked)} picked · {count}"
        if taking.busy and taking.count:
            count = f"taking in {taking.done:,} of {taking.count:,}"
        # Without a change of any size, the screen need not be laid out anew at every key.
        self.query_one("#log-count", Static).update(count, layout=False)
        count_refused = len(taking.refused)
        files = "1 file" if count_refused == 1 else f"{count_refused:,} files"
        refused = _REFUSED.format(files=files)
        told = refused if taking.refused else taking.trouble
        trouble = log.trouble or " ".join(filter(None, (told, taking.news)))
        self._say("#log-trouble", trouble)
        self._say("#log-empty", "" if log.count else self._why_empty())

    def _why_empty(self) -> str:
        if self._log.total:
            return _NOT_FOUND.format(text=self._log.text) + misunderstood(self._log.text)
        return _NO_ROASTS.format(folder=self._log.book.home / "recordings")

    def _say(self, where: str, sentence: str) -> None:
        place = self.query_one(where, Static)
        if sentence:
            place.update(sentence)
        place.display = bool(sentence)

    @property
    def _table(self) -> RoastTable:
        return self.query_one("#roasts", RoastTable)

    @property
    def _find(self) -> Input:
        return self.query_one("#log-find", Input)
