"""The Replay screen: a past roast as its screen was, at any moment of it."""

from __future__ import annotations

from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Static

from roastside.app import glance, telling
from roastside.app.curves import lane, whole
from roastside.app.moment import Moment
from roastside.app.pace import FRAME_S, Pace
from roastside.app.passing import Passing
from roastside.app.replaying import moment_of, scrubber_data, status, zero_of
from roastside.app.saying import status_words
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.replay_keys import ABOUT, KEYS
from roastside.app.widgets.chart import CurveChart
from roastside.app.widgets.figures import Figures
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.lane import CorridorLane
from roastside.app.widgets.scrubber import Scrubber
from roastside.app.widgets.stage_bar import StageBar
from roastside.live.replay import Replay


class ReplayScreen(Screen[None]):
    """Draws the board of a past roast where the playhead stands. It makes no sound."""

    BINDINGS: ClassVar[list[BindingType]] = KEYS

    class Left(Message):
        """The person goes; `exit_code` is what the command ends with."""

        def __init__(self, exit_code: int) -> None:
            super().__init__()
            self.exit_code = exit_code

    def __init__(self, replay: Replay) -> None:
        """`replay`: not followed yet; the screen begins that, and ends it when it is left."""
        super().__init__()
        self._replay = replay
        self._degrees = replay.plan.degrees
        self._pace = Pace()
        self._said = Passing()
        self._lag_shown = False
        self._drawn: object = None
        self._jumped = False

    def compose(self) -> ComposeResult:
        yield Static(id="status", markup=False)
        yield Figures(id="figures")
        with Horizontal(id="middle"):
            with Vertical(id="curves"):
                yield CorridorLane(id="lane")
                yield CurveChart(id="chart")
                yield StageBar(id="stages")
            yield Static(id="log", markup=False)
        yield Static("A larger window shows the curve.", id="too-small")
        yield Scrubber(id="scrubber")
        yield Foot()

    def on_mount(self) -> None:
        self.set_class(self._replay.reference is None, "free")
        self._replay.start()
        self.set_interval(FRAME_S, self._draw_what_changed)

    def on_unmount(self) -> None:
        self._replay.end()

    def on_resize(self, event: events.Resize) -> None:
        self.set_class(event.size.width < 60 or event.size.height < 18, "tiny")
        self.set_class(event.size.width >= 120 and event.size.height >= 32, "roomy")
        self.call_after_refresh(self._draw)

    def _draw_soon(self) -> None:
        """Draw now, or as soon as the last frame is old enough."""
        wait_s = self._pace.wait_s()
        if wait_s is None:
            return
        if wait_s <= 0.0:
            self._draw()
        else:
            self.set_timer(wait_s, self._draw)

    def _draw_what_changed(self) -> None:
        if self._shown() != self._drawn:
            self._draw_soon()

    def _shown(self) -> object:
        """What differs whenever something else is to be shown."""
        replay, head = self._replay, self._replay.playhead
        stands = (head.position_s, head.playing, head.speed, replay.boards.until_s)
        room = self.query_one("#log").content_size  # another one once the beans are out
        return stands, replay.trouble, self._said.words, room

    def _draw(self) -> None:
        self._pace.drawn()
        self._drawn = self._shown()
        moment = moment_of(self._replay)
        if self._jumped:
            self._fit_anew()
        self.set_class(moment.after, "after")
        self.query_one(Figures).figures = glance.figures(moment, self._degrees)
        self.query_one(CorridorLane).data = lane(moment, self._degrees)
        self.query_one(CurveChart).data = whole(moment, self._degrees, self._lag_shown)
        self.query_one(StageBar).data = glance.stage_bar(moment)
        self.query_one(Scrubber).data = scrubber_data(self._replay)
        self._draw_words(moment)

    def _draw_words(self, moment: Moment) -> None:
        log = self.query_one("#log", Static)
        size = log.content_size
        log.update(telling.log_text(moment.view, "", size.height, size.width), layout=False)
        line = status(self._replay, moment, self._said.words, self.size.width)
        self.query_one("#status", Static).update(line, layout=False)

    def _draw_jumped(self) -> None:
        self._jumped = True
        self._draw_soon()

    def _fit_anew(self) -> None:
        """The axes were fitted to where one was before the jump."""
        self._jumped = False
        self.query_one(CorridorLane).forget_scale()
        self.query_one(CurveChart).forget_scales()

    def on_scrubber_moved(self, event: Scrubber.Moved) -> None:
        self._replay.playhead.jump(event.at_s + zero_of(self._replay))
        self._draw_jumped()

    def action_play_or_pause(self) -> None:
        """Play, or pause."""
        self._replay.toggle()
        self._draw_soon()

    def action_shift(self, seconds: int) -> None:
        """Go on by so many seconds of the roast, or back."""
        self._replay.shift(seconds)
        self._draw_jumped()

    def action_step(self, readings: int) -> None:
        """Pause, and go on by so many readings, or back."""
        self._replay.step(readings)
        self._draw_jumped()

    def action_next_mark(self) -> None:
        """Go to the next mark, or to the end."""
        self._replay.to_next_mark()
        self._draw_jumped()

    def action_mark_before(self) -> None:
        """Go to the mark before, or to the beginning."""
        self._replay.to_mark_before()
        self._draw_jumped()

    def action_begin(self) -> None:
        """Go to the beginning."""
        self._replay.playhead.jump(self._replay.playhead.begin_s)
        self._draw_jumped()

    def action_end(self) -> None:
        """Go to the end."""
        self._replay.playhead.jump(self._replay.playhead.end_s)
        self._draw_jumped()

    def action_faster(self) -> None:
        """Play faster."""
        self._replay.playhead.faster()
        self._draw_soon()

    def action_slower(self) -> None:
        """Play slower."""
        self._replay.playhead.slower()
        self._draw_soon()

    def action_say_now(self) -> None:
        """Show in words where the roast stands."""
        words = status_words(moment_of(self._replay))
        self._say(words[:1].upper() + words[1:] + ".")

    def action_lag(self) -> None:
        """Show the lag-corrected bean temperature and what it is worth, or no longer."""
        self._lag_shown = not self._lag_shown
        words = telling.lag_words(moment_of(self._replay), self._degrees)
        self._say(words if self._lag_shown else "The lag-corrected curve is off.")

    def _say(self, words: str) -> None:
        """A few words in the status line, for a few seconds."""
        self._said.say(words)
        self._draw_soon()

    def action_keys(self) -> None:
        """Show every key of this screen; picking one does it."""

        async def do(action: str | None) -> None:
            if action:
                await self.run_action(action)

        self.app.push_screen(KeysScreen(ABOUT, keys_of(self)), do)

    def action_leave(self) -> None:
        """Leave; nothing is lost by it."""
        self.post_message(self.Left(1 if self._replay.trouble else 0))
