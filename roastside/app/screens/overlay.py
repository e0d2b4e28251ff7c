"""Many roasts over each other, and one of them held against the first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import events, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from roastside.app.past_curves import laid_over, letter_of, look_of, title_of
from roastside.app.past_words import compared
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.widgets.chart import CurveChart
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.laid_list import LaidList
from roastside.app.words import named
from roastside.book.rows import Roast
from roastside.live.log import RoastLog
from roastside.live.overlay import Alignment, Laid, figures_of, lay_over_by_and_by

_WIDE = 120
_MOST_TOLD = 3


class OverlayScreen(Screen[None]):
    """Draws what is laid over each other; the arrows choose the roast that stands out."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding(
            "up", "choose(-1)", "Choose", key_display="↑↓", tooltip="the roast that stands out"
        ),
        Binding("down", "choose(1)", show=False),
        Binding("w", "words", "Words", tooltip="all that differs, in place of the curves; or back"),
        Binding("a", "align", "Line up", tooltip="by charge, turning point or first crack"),
        Binding("r", "rate", "Rate", tooltip="rates of rise, or temperatures again"),
        Binding("f", "first", "First", tooltip="hold the others against this one"),
        Binding("question_mark", "keys", "Keys", key_display="?", tooltip="all keys"),
        Binding("escape", "back", "Back", tooltip="back to where you were"),
    ]

    # As a screen's CSS it would have every style of the app read anew when this first opens.
    DEFAULT_CSS = """
    #over-head { height: 1; padding: 0 1; background: $surface; text-style: bold; }
    #over-middle { height: 1fr; layout: vertical; }
    #over-chart { height: 1fr; }
    #over-side {
        height: 9;
        layout: horizontal;
        border-top: solid $foreground 20%;
        border-title-align: right;
        border-title-color: $foreground;
    }
    #over-list { width: 2fr; height: 100%; }
    #over-words-box { width: 3fr; height: 100%; padding: 0 1; }
    #over-words { height: auto; }
    OverlayScreen.wide #over-middle { layout: horizontal; }
    OverlayScreen.wide #over-chart { width: 1fr; height: 100%; }
    OverlayScreen.wide #over-side {
        width: 56;
        height: 100%;
        layout: vertical;
        border-top: none;
        border-left: solid $foreground 20%;
    }
    OverlayScreen.wide #over-list { width: 100%; height: 12; }
    OverlayScreen.wide #over-words-box { width: 100%; height: 1fr; margin-top: 1; }
    OverlayScreen.words #over-chart { display: none; }
    OverlayScreen.words #over-side { width: 100%; height: 100%; layout: vertical; }
    OverlayScreen.words #over-list { width: 100%; height: 5; }
    OverlayScreen.words #over-words-box { width: 100%; height: 1fr; }
    """

    def __init__(self, roasts: Sequence[Roast], log: RoastLog) -> None:
        super().__init__()
        self._roasts = roasts
        self._log = log
        self._laid: list[Laid] = []
        self._left_out: list[str] = []
        self._at = 0
        self._alignment = Alignment.CHARGE
        self._rate = False

    @property
    def laid(self) -> Sequence[Laid]:
        """What is drawn, the first one that the others are held against at the head."""
        return self._laid

    def compose(self) -> ComposeResult:
        # At once, as a later change of it would have every style found anew.
        self.set_class(self.app.size.width >= _WIDE, "wide")
        yield Static("Reading the roasts…", id="over-head", markup=False)
        with Horizontal(id="over-middle"):
            yield CurveChart(id="over-chart")
            with Horizontal(id="over-side"):
                yield LaidList(id="over-list")
                with VerticalScroll(id="over-words-box", can_focus=False):
                    yield Static(id="over-words", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        self._read()

    def on_resize(self, event: events.Resize) -> None:
        self.set_class(event.size.width >= _WIDE, "wide")
        self.call_after_refresh(self._tell_of_more)

    @work
    async def _read(self) -> None:
        laid, left_out = await lay_over_by_and_by(self._log.book, self._roasts)
        self._laid, self._left_out = laid, left_out
        # With two, the second is looked at beside the first.
        self._at = min(1, len(laid) - 1) if laid else 0
        self._tell()

    def action_choose(self, step: int) -> None:
        """Let another roast stand out."""
        if self._laid:
            self._at = (self._at + step) % len(self._laid)
            self._tell()

    def action_align(self) -> None:
        """Line the roasts up by something else."""
        self._alignment = self._alignment.next
        self._tell()

    def action_rate(self) -> None:
        """Rates of rise in place of temperatures, or back."""
        self._rate = not self._rate
        self.query_one(CurveChart).forget_scales()
        self._tell()

    def action_first(self) -> None:
        """Hold the others against the one that stands out."""
        if self._laid:
            self._laid.insert(0, self._laid.pop(self._at))
            self._at = 0
            self._tell()

    def action_words(self) -> None:
        """All that differs in place of the curves, or the curves again."""
        self.toggle_class("words")
        self.call_after_refresh(self._tell_of_more)

    def action_keys(self) -> None:
        """All keys."""
        self.app.push_screen(KeysScreen("Roasts over each other", keys_of(self)), self._act)

    def action_back(self) -> None:
        """Back to where the roasts were chosen."""
        self.dismiss()

    def _act(self, action: str | None) -> None:
        if action:
            self.call_later(self.run_action, action)

    def _tell(self) -> None:
        laid, degrees = self._laid, self._log.degrees
        what = "rates of rise" if self._rate else "bean temperatures"
        of = f" of {len(self._roasts)}" if self._left_out else ""
        self.query_one("#over-head", Static).update(
            f"{len(laid)}{of} roasts · {what} · lined up at {named(self._alignment)}"
        )
        self.query_one(CurveChart).data = laid_over(
            laid, self._at, self._alignment, self._rate, degrees
        )
        looks = [look_of(place, len(laid), self._at) for place in range(len(laid))]
        letters = [letter_of(place, len(laid)) for place in range(len(laid))]
        titles = [title_of(each) for each in laid]
        self.query_one(LaidList).show(titles, looks, letters, self._at)
        self.query_one("#over-words", Static).update("\n".join(self._words()))
        self.call_after_refresh(self._tell_of_more)

    def _tell_of_more(self) -> None:
        """Where words lie below the edge, say which key shows them."""
        box, side = self.query_one("#over-words-box"), self.query_one("#over-side")
        if self.has_class("words"):
            side.border_title = "w: the curves again"
        else:
            side.border_title = "▾ more words below · w: all of them" if box.max_scroll_y else ""

    def _words(self) -> list[str]:
        laid, lines = self._laid, []
        if not laid:
            lines.append("None of these roasts has a curve to draw.")
        elif self._at == 0:
            lines.append("The first: the others are held against it. Arrows choose another.")
        else:
            first, second = figures_of(laid[0]), figures_of(laid[self._at])
            lines += compared(first, second, self._log.degrees)
        lacking = sum(each.at_s(self._alignment) is None for each in laid)
        if lacking:
            lines.append(f"Not drawn, as {named(self._alignment)} is not marked: {lacking}.")
        lines += [f"Left out: {sentence.rstrip('.')}." for sentence in self._left_out[:_MOST_TOLD]]
        if (more := len(self._left_out) - _MOST_TOLD) > 0:
            lines.append(f"Left out as well: {more} more.")
        return lines
