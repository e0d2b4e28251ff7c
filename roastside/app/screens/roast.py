"""The Roast screen: a roast under way, made for a glance in passing."""

from __future__ import annotations

from time import monotonic
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical
from textual.message import Message
from textual.screen import Screen
from textual.widgets import Footer, Static

from roastside.app import glance, telling
from roastside.app.curves import lane, whole
from roastside.app.ears import hearing_of
from roastside.app.messages import BellDue, BoardChanged
from roastside.app.moment import Moment
from roastside.app.saying import status_words
from roastside.app.screens.dialogs import EndDialog, LineDialog
from roastside.app.screens.keys import KeysScreen, keys_of
from roastside.app.widgets.chart import CurveChart
from roastside.app.widgets.figures import Figures
from roastside.app.widgets.lane import CorridorLane
from roastside.app.widgets.stage_bar import StageBar
from roastside.app.words import clock, named
from roastside.core.lag import Lag, NoLag
from roastside.core.readings import MarkName
from roastside.live.outlets import MakeOutlets, bell_only
from roastside.live.roast import LiveRoast

FRAME_S = 0.1
"""No more than ten frames a second, however fast readings come."""

_TICK_S = 0.5

SAID_FOR_S = 5.0

_ABOUT = (
    "Large figures: elapsed, bean, rate of rise, seconds ahead or behind, what comes next. Below: "
    "the corridor, your roast against its reference, dotted where it is heading; then the whole "
    "roast."
)


_LAG_TIP = "the lag-corrected bean temperature as well, or no longer"

_SAY_TIP = "say where the roast stands: time, bean, rate, ahead or behind, what comes next"

_STILL_WORK_WHEN_OVER = ("end", "keys", "lag")


class RoastScreen(Screen[None]):
    """Draws the board of a roast at its own rate; the roast itself runs elsewhere."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("c", "mark('charge')", "charge", tooltip="charge: the beans are in"),
        Binding("f", "mark('first_crack')", "crack", tooltip="first crack begins"),
        Binding("d", "mark('drop')", "drop", tooltip="drop: the beans are out"),
        Binding("u", "undo", "undo", tooltip="take back the last mark, or its move"),
        Binding("b", "step_back", "5 s ago", tooltip="move the last mark 5 seconds back"),
        Binding("q", "end", "end", tooltip="end the roast (asks first)"),
        Binding("question_mark", "keys", "keys", key_display="?", tooltip="all keys"),
        Binding("n", "note", "note", tooltip="write a note"),
        Binding("k", "control", "control", tooltip="write down a control you changed"),
        Binding("h", "hush", "hush", tooltip="hush all sound for a minute, or end the hush"),
        Binding("v", "say_now", "say it now", show=False, tooltip=_SAY_TIP),
        Binding("l", "lag", "lag", show=False, tooltip=_LAG_TIP),
        Binding("a", "acknowledge", "alerts seen", show=False),
        Binding("y", "mark('yellowing')", "yellowing", show=False),
        Binding("t", "mark('turning_point')", "turning point", show=False),
        Binding("e", "mark('first_crack_end')", "first crack ends", show=False),
        Binding("s", "mark('second_crack')", "second crack", show=False),
    ]

    class Left(Message):
        """The roast is over and the person goes; `exit_code` is what its command ends with."""

        def __init__(self, exit_code: int) -> None:
            super().__init__()
            self.exit_code = exit_code

    def __init__(self, roast: LiveRoast, make_outlets: MakeOutlets = bell_only) -> None:
        """`make_outlets`: opens what sounds, speaks and sends word."""
        super().__init__()
        self._roast = roast
        self._degrees = roast.plan.degrees
        self._drawn_at = 0.0
        self._frame_due = False
        self._told_over = False
        self._without_lag = False
        self._lag_told: Lag | NoLag | None = None
        self._hearing = hearing_of(
            roast, make_outlets, self._moment, lambda motif: self.post_message(BellDue(motif))
        )
        self._said, self._said_until, self._asked = "", 0.0, ""

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
        yield Footer(compact=True, show_command_palette=False)

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
        if self._frame_due:
            return
        wait_s = self._drawn_at + FRAME_S - monotonic()
        if wait_s <= 0.0:
            self._draw()
        else:
            self._frame_due = True
            self.set_timer(wait_s, self._draw)

    def _draw(self) -> None:
        self._frame_due = False
        self._drawn_at = monotonic()
        roast = self._roast
        moment = self._moment()
        self.set_class(moment.after, "after")
        self.query_one(Figures).figures = glance.figures(moment, self._degrees)
        self.query_one(CorridorLane).data = lane(moment, self._degrees)
        self.query_one(CurveChart).data = whole(moment, self._degrees, self._without_lag)
        self.query_one(StageBar).data = glance.stage_bar(moment)
        if self._without_lag and moment.view.lag != self._lag_told:
            self._tell_lag(moment)
        self._draw_words(moment)
        if roast.over and not self._told_over:
            self._tell_over()

    def _moment(self) -> Moment:
        roast = self._roast
        return Moment(roast.board.view(), roast.source.now_s(), roast.plan, roast.reference)

    def _tell_lag(self, moment: Moment) -> None:
        """While the lag-corrected curve is on, the log says what it is worth."""
        self._lag_told = moment.view.lag
        words = [telling.lag_words(moment, self._degrees)] if self._without_lag else []
        self._roast.board.tell("lag", moment.now_s, words)

    def _draw_words(self, moment: Moment) -> None:
        log = self.query_one("#log", Static)
        size = log.content_size
        view = moment.view
        hint = telling.hint(self._roast, moment)
        # Neither changes its size: a new layout ten times a second would cost half a core.
        log.update(telling.log_text(view, hint, size.height, size.width), layout=False)
        said = self._said if monotonic() < self._said_until else ""
        hushed_for_s = self._hearing.hushed_for_s()
        line = telling.status(self._roast, moment, hushed_for_s, said, self.size.width)
        self.query_one("#status", Static).update(line, layout=False)

    def _tell_over(self) -> None:
        self._told_over = True
        # Anew: the roast may have ended since this frame was begun, and its summary come with that.
        moment = self._moment()
        now_s = moment.now_s
        told = telling.verdict(moment, self._degrees)
        if told:
            self._roast.board.note(now_s, told, "mark")
        trouble = self._roast.trouble or self._roast.store_error
        if trouble:
            self._roast.board.note(now_s, str(trouble), "critical")
        self.refresh_bindings()
        self._draw_soon()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Once the roast is over there is nothing left to mark."""
        return not self._roast.over or action in _STILL_WORK_WHEN_OVER

    def action_mark(self, name: str) -> None:
        """Mark this instant; a mark that stands already is moved by a second press only."""
        marks = self._roast.board.view().marks
        if name != MarkName.CHARGE and MarkName.CHARGE not in marks:
            self._say("No charge yet: press c when the beans are in.")
            return
        again = self._asked == name and monotonic() < self._said_until
        if name in marks and not again:
            at = clock(marks[name] - marks[MarkName.CHARGE])
            self._say(f"{named(name)} stands at {at}: press again to move it here.".capitalize())
            self._asked = name
            return
        self._asked = ""
        self._roast.mark(name)

    def action_undo(self) -> None:
        """Take back the last mark, or the last move of one."""
        if self._roast.undo() is None:
            self._say("There is no mark to take back.")

    def action_step_back(self) -> None:
        """Move the last mark five seconds back."""
        if self._roast.step_back() is None:
            self._say("There is no mark to move.")

    def action_note(self) -> None:
        """Write a remark into the roast, stamped with the moment the key was pressed."""
        at_s = self._roast.source.now_s()

        def keep(text: str | None) -> None:
            if text:
                self._roast.mark(MarkName.COMMENT, note=text, at_s=at_s)

        self.app.push_screen(LineDialog("Note", "what you saw, heard or did"), keep)

    def action_control(self) -> None:
        """Write down a change of heat or air, stamped with the moment the key was pressed."""
        at_s = self._roast.source.now_s()

        def keep(text: str | None) -> None:
            control = telling.control_words(text or "")
            if control is not None:
                self._roast.mark(
                    MarkName.CONTROL, value=control.value, note=control.note, at_s=at_s
                )

        def trouble(text: str) -> str:
            fits = not text or telling.control_words(text) is not None
            return "" if fits else "Write a name and one number, such as: heat 70"

        self.app.push_screen(LineDialog("Control changed", "heat 70", trouble), keep)

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
        self._without_lag = not self._without_lag
        self._tell_lag(self._moment())
        self._say(f"The lag-corrected curve is {'on' if self._without_lag else 'off'}.")

    def action_acknowledge(self) -> None:
        """Tell that all standing alerts were seen."""
        if self._roast.acknowledge() == 0:
            self._say("No alert stands.")

    def _say(self, words: str) -> None:
        """A few words in the status line, for a few seconds."""
        self._said, self._said_until = words, monotonic() + SAID_FOR_S
        self._draw_soon()

    def action_keys(self) -> None:
        """Show every key of this screen; picking one does it."""

        async def do(action: str | None) -> None:
            if action:
                await self.run_action(action)

        self.app.push_screen(KeysScreen(_ABOUT, keys_of(self)), do)

    def action_end(self) -> None:
        """Ask, then end the roast; once it is over, leave."""
        if self._roast.over:
            self.post_message(self.Left(self._roast.exit_code))
        else:
            self.ask_to_end()

    @property
    def over(self) -> bool:
        """Whether the roast has ended."""
        return self._roast.over

    def end_roast(self) -> None:
        """End the roast without asking: the program is being closed."""
        self._roast.end()

    def ask_to_end(self) -> None:
        """Ask whether to end the roast; ask once, however often the key is pressed."""
        if isinstance(self.app.screen, EndDialog):
            return

        def ended(sure: bool | None) -> None:
            if sure:
                self._roast.end()
                self._draw_soon()

        self.app.push_screen(EndDialog(*telling.end_words(self._roast)), ended)
