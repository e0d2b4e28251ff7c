"""The Roast screen: a roast under way, made for a glance in passing."""

from __future__ import annotations

from pathlib import Path
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
from roastside.app.ears import hearing_of
from roastside.app.mark_keys import MarkKeys
from roastside.app.messages import BellDue, BoardChanged
from roastside.app.moment import Moment
from roastside.app.own_lines import OwnLines
from roastside.app.pace import Pace
from roastside.app.passing import Passing
from roastside.app.saying import status_words
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.screens.roast_keys import ABOUT, KEYS, STILL_WORK_WHEN_OVER
from roastside.app.screens.roast_questions import ask_control, ask_note, ask_to_end
from roastside.app.widgets.chart import CurveChart
from roastside.app.widgets.figures import Figures
from roastside.app.widgets.foot import Foot
from roastside.app.widgets.lane import CorridorLane
from roastside.app.widgets.stage_bar import StageBar
from roastside.live.outlets import MakeOutlets, bell_only
from roastside.live.roast import LiveRoast

_TICK_S = 0.5


class RoastScreen(Screen[None]):
    """Draws the board of a roast at its own rate; the roast itself runs elsewhere."""

    BINDINGS: ClassVar[list[BindingType]] = KEYS

    class Left(Message):
        """The roast is over and the person goes.

        `exit_code` is what its command ends with; `recording` where it was stored whole, if it was.
        """

        def __init__(self, exit_code: int, recording: Path | None = None) -> None:
            super().__init__()
            self.exit_code = exit_code
            self.recording = recording

    def __init__(self, roast: LiveRoast, make_outlets: MakeOutlets = bell_only) -> None:
        """`make_outlets`: opens what sounds, speaks and sends word."""
        super().__init__()
        self._roast = roast
        self._degrees = roast.plan.degrees
        self._pace = Pace()
        self._said = Passing()
        self._own_lines = OwnLines(roast)
        self._mark_keys = MarkKeys(roast)
        self._hearing = hearing_of(
            roast, make_outlets, self._moment, lambda motif: self.post_message(BellDue(motif))
        )

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
        yield Foot()

    def on_mount(self) -> None:
        self.set_class(self._roast.reference is None, "free")
        self._roast.listen(self._changed)
        self._roast.listen(self._hearing)
        self._hearing.start()
        self._roast.start()
        self.set_interval(_TICK_S, self._draw_soon)

    def _changed(self, _events: object) -> None:
        """Called from the roast's thread: ask for a frame."""
        self.post_message(BoardChanged())

    def on_board_changed(self) -> None:
        self._draw_soon()

    def on_unmount(self) -> None:
        self._hearing.stop()

    def on_bell_due(self, event: BellDue) -> None:
        self.app.bell()
        for offset_s in event.motif.rhythm.starts_s[1:]:
            self.set_timer(offset_s, self.app.bell)

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

    def _draw(self) -> None:
        self._pace.drawn()
        moment = self._moment()
        self.set_class(moment.after, "after")
        self.query_one(Figures).figures = glance.figures(moment, self._degrees)
        self.query_one(CorridorLane).data = lane(moment, self._degrees)
        lag_shown = self._own_lines.lag_shown
        self.query_one(CurveChart).data = whole(moment, self._degrees, lag_shown)
        self.query_one(StageBar).data = glance.stage_bar(moment)
        self._own_lines.follow(moment)
        self._draw_words(moment)
        if self.over and not self._own_lines.over_told:
            self._tell_over()

    def _moment(self) -> Moment:
        roast = self._roast
        return Moment(roast.board.view(), roast.source.now_s(), roast.plan, roast.reference)

    def _draw_words(self, moment: Moment) -> None:
        log = self.query_one("#log", Static)
        size = log.content_size
        view = moment.view
        hint = telling.hint(self._roast, moment)
        # Neither changes its size: a new layout ten times a second would cost half a core.
        log.update(telling.log_text(view, hint, size.height, size.width), layout=False)
        said, width = self._said.words, self.size.width
        line = telling.status(self._roast, moment, telling.ears(self._hearing), said, width)
        self.query_one("#status", Static).update(line, layout=False)

    def _tell_over(self) -> None:
        # Anew: the roast may have ended since this frame was begun, and its summary come with that.
        self._own_lines.tell_over(self._moment())
        self.refresh_bindings()
        self._draw_soon()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Once the roast is over there is nothing left to mark."""
        return not self.over or action in STILL_WORK_WHEN_OVER

    def action_mark(self, name: str) -> None:
        """Mark this instant; a mark that stands already is moved by a second press only."""
        self._say(self._mark_keys.mark(name))

    def action_undo(self) -> None:
        """Take back the last mark, or the last move of one."""
        self._say(self._mark_keys.undo())

    def action_step_back(self) -> None:
        """Move the last mark five seconds back."""
        self._say(self._mark_keys.step_back())

    def action_note(self) -> None:
        """Write a remark into the roast, stamped with the moment the key was pressed."""
        ask_note(self.app, self._roast)

    def action_control(self) -> None:
        """Write down a change of heat or air, stamped with the moment the key was pressed."""
        ask_control(self.app, self._roast)

    def action_hush(self) -> None:
        """Be silent for a minute; critical alerts for no more than half of it."""
        self._hearing.hush()
        self._draw_soon()

    def action_say_now(self) -> None:
        """Say where the roast stands; shown as well, for an ear that is not there."""
        words = status_words(self._moment())
        self._hearing.say(words)
        self._say(words[:1].upper() + words[1:] + ".")

    def action_lag(self) -> None:
        """Show the lag-corrected bean temperature, or no longer."""
        self._own_lines.switch_lag(self._moment())
        self._say(f"The lag-corrected curve is {'on' if self._own_lines.lag_shown else 'off'}.")

    def action_acknowledge(self) -> None:
        """Tell that all standing alerts were seen."""
        if self._roast.acknowledge() == 0:
            self._say("No alert stands.")

    def _say(self, words: str) -> None:
        """A few words, if any, in the status line for a few seconds."""
        if words:
            self._said.say(words)
            self._draw_soon()

    def action_keys(self) -> None:
        """Show every key of this screen; picking one does it."""

        async def do(action: str | None) -> None:
            if action:
                await self.run_action(action)

        self.app.push_screen(KeysScreen(ABOUT, keys_of(self)), do)

    def action_end(self) -> None:
        """Ask, then end the roast; once it is over, leave."""
        if self.over:
            self.post_message(self.Left(self._roast.exit_code, self._roast.recording))
        else:
            self.ask_to_end()

    @property
    def over(self) -> bool:
        """Whether the roast has ended."""
        return self._roast.over

    def leave_roast(self) -> None:
        """End the roast without asking: the program is told to go."""
        self._roast.leave()

    def ask_to_end(self) -> None:
        """Ask whether to end the roast; ask once, however often the key is pressed."""
        ask_to_end(self.app, self._roast, self._draw_soon)
