"""One reference: the story of how it got better, version by version."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import ClassVar

from rich.text import Text
from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.screen import Screen
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from roastside.app.reference_curves import version_chart
from roastside.app.reference_words import chapter_head, chapter_text, page_head
from roastside.app.screens.ask import AskDialog
from roastside.app.screens.dialogs import LineDialog
from roastside.app.screens.edit_reference import EditReference
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.log import LogScreen
from roastside.app.screens.reading import ReadingDialog
from roastside.app.widgets.chart import ChartData, CurveChart
from roastside.app.widgets.foot import Foot
from roastside.book.filters import called
from roastside.book.notes import add_note
from roastside.book.versions import make_current
from roastside.core.errors import RoastsideError
from roastside.live.log import RoastLog
from roastside.live.new_version import KeptVersion, begin_with_version
from roastside.live.reference_story import Chapter, Curve, curves, story
from roastside.live.shared_log import SharedLog

_WIDE = 120


class ReferencePage(Screen[None]):
    """Tells the story of a reference in the book of a log; begins at the current version."""

    AUTO_FOCUS = "#story"

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "enter",
            "roasts",
            "Roasts",
            priority=True,
            tooltip="its roasts, in the Log",
        ),
        Binding("n", "new", "New version", tooltip="make a new version from this one, by an edit"),
        Binding("m", "make_current", "Current", tooltip="make this version the current one"),
        Binding("w", "write", "Note", tooltip="write a note about this version"),
        Binding("c", "consistency", "Repeats", tooltip="how alike the roasts of this version are"),
        Binding("d", "draw", "Draw", tooltip="its curve with the one before, or the story again"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="back to the list"),
    ]

    CSS = """
    #story-head {
        height: auto;
        max-height: 2;
        padding: 0 1;
        background: $surface;
        text-style: bold;
    }
    #story-middle { height: 1fr; }
    #story { width: 1fr; height: 100%; border: none; padding: 0; background: $background; }
    #story > .option-list--option { padding: 0 1 0 0; }
    #story > .option-list--option-highlighted, #story:focus > .option-list--option-highlighted {
        background: $foreground 8%;
        color: $foreground;
        text-style: none;
    }
    #story-drawn { display: none; width: 1fr; height: 100%; }
    #story-drawn CurveChart { height: 1fr; }
    #story-drawn Static { height: 1; padding: 0 1; color: $foreground 80%; text-wrap: nowrap; }
    ReferencePage.drawn #story { display: none; }
    ReferencePage.drawn #story-drawn { display: block; }
    ReferencePage.wide #story { display: block; width: 72; }
    ReferencePage.wide #story-drawn { display: block; border-left: solid $foreground 20%; }
    ReferencePage.wide.drawn #story { display: none; }
    ReferencePage.wide.drawn #story-drawn { border-left: none; }
    """

    def __init__(self, log: RoastLog, reference_id: int) -> None:
        super().__init__()
        self._log = log
        self._reference_id = reference_id
        self._chapters: list[Chapter] = []
        self._curves: list[Curve] = []
        self._at = 0

    def compose(self) -> ComposeResult:
        yield Static(id="story-head", markup=False)
        with Horizontal(id="story-middle"):
            yield OptionList(id="story", markup=False)
            with Vertical(id="story-drawn"):
                yield Static(id="story-what", markup=False)
                yield CurveChart(id="story-chart")
        yield Foot()

    def on_resize(self, event: events.Resize) -> None:
        self.set_class(event.size.width >= _WIDE, "wide")
        self.call_after_refresh(self._tell)

    def on_screen_resume(self) -> None:
        """At first, and coming back from where roasts or versions may have changed."""
        self._look()

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        event.stop()
        if event.option_index != self._at:
            before, self._at = self._at, event.option_index
            self._tell_chapter(before)
            self._tell_chapter(self._at)
            self._draw()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        event.stop()
        self.action_roasts()

    def action_roasts(self) -> None:
        """Open the Log with the roasts of this version."""
        if (chapter := self._chapter) is None:
            return
        if chapter.earned.roasts:
            log = SharedLog(self._log, called("reference", chapter.version.title))
            self.app.push_screen(LogScreen(log))
        else:
            self.notify(f"No roast was held against {chapter.version.title} yet.", markup=False)

    def action_new(self) -> None:
        """Make a new version from this one."""
        if (chapter := self._chapter) is not None:
            beginning = begin_with_version(self._log.book, chapter.version)
            self.app.push_screen(EditReference(self._log, beginning), self._made)

    def action_make_current(self) -> None:
        """Make this version the current one, when that is agreed to."""
        if (chapter := self._chapter) is None or not self._can_write():
            return
        version = chapter.version
        if version.is_current:
            self.notify(f"{version.title} is current already.", markup=False)
            return
        if not version.coffee:
            self.notify(
                f"{version.title} is of no coffee, so it cannot be its current one.", markup=False
            )
            return

        def answered(agreed: bool | None) -> None:
            if agreed:
                self._keep(
                    lambda: make_current(self._log.book, version.id, datetime.now().astimezone())
                )

        self.app.push_screen(
            AskDialog(
                f"Make {version.title} current?",
                f"From now on {version.coffee} is roasted to it: it is proposed when a roast is "
                "started. Nothing else changes.",
                "Make it current",
            ),
            answered,
        )

    def action_write(self) -> None:
        """Write a note about this version."""
        if (chapter := self._chapter) is None or not self._can_write():
            return
        version = chapter.version

        def written(text: str | None) -> None:
            if text:
                now = datetime.now().astimezone()
                self._keep(lambda: add_note(self._log.book, text, now, version_id=version.id))

        dialog = LineDialog(f"Note about {version.title}", "what was tasted, what to try next")
        self.app.push_screen(dialog, written)

    def action_consistency(self) -> None:
        """Tell how alike the repeats of this version are."""
        if (chapter := self._chapter) is not None:
            self._read_consistency(chapter.version.id, chapter.version.title)

    def action_draw(self) -> None:
        """The curve, or the story again."""
        self.toggle_class("drawn")
        self._draw()

    def action_keys(self) -> None:
        """All keys."""
        self.app.push_screen(KeysScreen("A reference", keys_of(self)), self._act)

    def action_back(self) -> None:
        """From the curve to the story, then back to the list."""
        if self.has_class("drawn"):
            self.action_draw()
        else:
            self.dismiss()

    @work(thread=True, exclusive=True, group="consistency")
    def _read_consistency(self, version_id: int, title: str) -> None:
        from roastside.desk.consistency_page import consistency_page

        try:
            text = consistency_page(self._log.book.home, version_id, self._log.degrees)
        except RoastsideError as error:
            text = str(error)
        self.app.call_from_thread(self._show_consistency, title, text)

    def _show_consistency(self, title: str, text: str) -> None:
        if self.is_current:
            self.app.push_screen(ReadingDialog(f"The repeats of {title}", text))

    @work(thread=True, exclusive=True, group="curves")
    def _read_curves(self, chapters: list[Chapter]) -> None:
        found = curves(self._log.book, chapters, self._log.degrees)
        self.app.call_from_thread(self._have_curves, chapters, found)

    def _have_curves(self, chapters: list[Chapter], found: list[Curve]) -> None:
        if chapters is self._chapters and self.is_attached:
            self._curves = found
            self._tell()

    def _look(self, at_version: int | None = None) -> None:
        """Read the story anew; the cursor stays, or goes to a version, at first the current one."""
        chosen = self._chapter
        wanted = at_version if chosen is None or at_version else chosen.version.id
        try:
            self._chapters = story(self._log.book, self._reference_id)
        except RoastsideError as error:
            self.notify(str(error), severity="error", markup=False)
            self.dismiss()
            return
        ids = [chapter.version.id for chapter in self._chapters]
        current = [place for place, each in enumerate(self._chapters) if each.version.is_current]
        usual = current[0] if current else len(ids) - 1
        self._at = ids.index(wanted) if wanted in ids else usual
        self._curves = []
        self._tell()
        self._read_curves(self._chapters)

    def _made(self, kept: KeptVersion | None) -> None:
        if kept is not None and kept.version_id is not None:
            self._look(kept.version_id)

    def _can_write(self) -> bool:
        if self._log.taking_in.busy:
            self.notify("New roasts are being taken into the book: try again in a moment.")
            return False
        return True

    def _keep(self, change: Callable[[], object]) -> None:
        try:
            change()
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
        self._look()

    def _tell(self) -> None:
        if not self._chapters or not self.is_attached:
            return
        self.query_one("#story-head", Static).update(page_head(self._chapters))
        every = range(len(self._chapters))
        self._story.set_options(Option(self._chapter_text(place)) for place in every)
        self._story.highlighted = self._at
        self.call_after_refresh(self._story.scroll_to_highlight)
        self._draw()

    def _tell_chapter(self, place: int) -> None:
        if place < len(self._chapters):
            self._story.replace_option_prompt_at_index(place, self._chapter_text(place))

    def _chapter_text(self, place: int) -> Text:
        return chapter_text(
            self._chapters[place],
            self._curves[place] if self._curves else None,
            self._story.size.width - 2,
            here=place == self._at,
            last=place == len(self._chapters) - 1,
        )

    def _draw(self) -> None:
        if (chapter := self._chapter) is None:
            return
        data = ChartData()
        if self._curves and (own := self._curves[self._at].reference) is not None:
            data = version_chart(own, self._curves[self._at].parent, self._log.degrees)
        self.query_one("#story-what", Static).update(chapter_head(chapter))
        self.query_one(CurveChart).data = data

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    @property
    def _chapter(self) -> Chapter | None:
        return self._chapters[self._at] if self._chapters else None

    @property
    def _story(self) -> OptionList:
        return self.query_one("#story", OptionList)
