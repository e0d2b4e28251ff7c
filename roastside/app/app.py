"""The app: which screen is shown, and how it begins and ends."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App, SystemCommand
from textual.screen import Screen

from roastside.app.filling_in import ask_to_fill_in
from roastside.app.screens.keys import keys_of
from roastside.app.screens.today import ALL_UNFINISHED, FILL_IN, TodayScreen
from roastside.app.staying import spare_what_stays
from roastside.app.terminal import leave_when_told
from roastside.core.errors import RoastsideError, UsageError
from roastside.live.home import any_under_way, cautions_were_read, home, note_cautions_read
from roastside.live.kept import kept_recordings
from roastside.live.rests import join_rests

if TYPE_CHECKING:
    from roastside.app.screens.replay import ReplayScreen
    from roastside.app.screens.roast import RoastScreen
    from roastside.app.screens.roast_page import RoastPage
    from roastside.app.screens.setup import Setup
    from roastside.core.session import Session
    from roastside.live.after_roast import KnownRoasts
    from roastside.live.outlets import MakeOutlets
    from roastside.live.replay import Replay
    from roastside.live.resume import Interrupted
    from roastside.live.roast import LiveRoast
    from roastside.live.settings import Settings
    from roastside.live.under_way import Note
    from roastside.probes.source import Source
    from roastside.record.recorder import Recorder


class RoastsideApp(App[None]):
    """Opens on Today, or on a roast or a replay if it is given one that is opened already.

    What computes a roast is imported when the first roast begins, so that Today is there at once.
    """

    TITLE = "roastside"
    CSS_PATH = "style.tcss"

    def __init__(
        self,
        roast: LiveRoast | None = None,
        sounding: bool = False,
        replay: Replay | None = None,
    ) -> None:
        """`sounding`: with sounds, speech and messages, where else only the bell rings."""
        super().__init__()
        self._sounding = sounding
        self._given = roast
        self._replayed = replay
        self._showing: RoastScreen | None = None
        self._told_of_settings = ""

    def on_mount(self) -> None:
        self.call_after_refresh(spare_what_stays)
        if self._given is not None:
            self._show_roast(self._given)
        elif self._replayed is not None:
            self._show_replay(self._replayed)
        else:
            self._end_what_was_cut_short()
            self.push_screen(_today())
            self._offer_to_resume()
        if not cautions_were_read():
            from roastside.app.screens.cautions import CautionsScreen

            self.push_screen(CautionsScreen(), lambda _: note_cautions_read())

    def _end_what_was_cut_short(self) -> None:
        from roastside.live.cut_short import end_restoring

        if told := end_restoring(home()):
            self.notify(told, severity="warning", timeout=60.0, markup=False)

    def _offer_to_resume(self) -> None:
        if not any_under_way():
            return
        from roastside.app.screens.resume import ResumeDialog
        from roastside.live.resume import interrupted, leave, resumed_roast

        cut = interrupted()
        if cut is None:
            return
        settings = self._settings()

        def answered(go_on: bool | None, cut: Interrupted = cut) -> None:
            if not go_on:
                leave(cut)
            elif self._begin(lambda: resumed_roast(cut)) is None:
                # The adapter may be plugged in by the time it is tried again.
                self._offer_to_resume()

        self.push_screen(ResumeDialog(cut, settings.display.degrees), answered)

    def on_today_screen_chosen(self, event: TodayScreen.Chosen) -> None:
        if event.what == "roast":
            self._ask_for_roast()
        elif event.what == "log":
            self._open_log()
        elif event.what == "coffees":
            self._open_coffees()
        elif event.what == "references":
            self._open_references()
        elif event.what == "practise":
            from roastside.live.beginnings import practice_roast

            self._begin(practice_roast)
        elif event.what == "calibrate":
            self._check_probe()
        elif event.what == "settings":
            self._open_settings()
        elif event.what.startswith(FILL_IN):
            from roastside.live.after_roast import taken_in

            recording = Path(event.what.removeprefix(FILL_IN))
            ask_to_fill_in(self, lambda: taken_in(home(), recording), self._show_today)
        elif event.what == ALL_UNFINISHED:
            from roastside.book.filters import TO_FILL_IN

            self._open_log(TO_FILL_IN)
        else:
            self._replay(Path(event.what))

    def _ask_for_roast(self, typed: Setup | None = None, trouble: str = "") -> None:
        from roastside.app.screens.setup import SetupDialog
        from roastside.live.start import choices

        probe, known = self._settings().probe, choices(home())
        self.push_screen(SetupDialog(probe, known, typed, trouble), self._begin_listening)

    def _begin_listening(self, setup: Setup | None) -> None:
        if setup is None:
            return
        from roastside.live.beginnings import listened_roast
        from roastside.live.line import keep_line, typed_line
        from roastside.live.start import roast_facts

        try:
            facts = roast_facts(setup.coffee, setup.lot, setup.charge_weight, setup.roasted_by)
            line = typed_line(setup.port, setup.baud, setup.wire)
            roast = listened_roast(line, setup.reference, setup.development, facts)
        except RoastsideError as error:
            # What was typed stays, as most of it was right.
            self._ask_for_roast(setup, str(error))
            return
        with suppress(RoastsideError):  # it need not be known the next time
            keep_line(line)
        from roastside.app.screens.checklist import Checklist

        self._show_roast(roast)
        self.push_screen(Checklist(roast))

    def _open_log(self, text: str = "") -> None:
        from roastside.app.screens.log import LogScreen
        from roastside.live.log import RoastLog

        settings = self._settings()
        log = RoastLog.open(home(), settings.display.degrees)
        log.narrow(text)
        self.push_screen(LogScreen(log), lambda _: self._show_today())

    def _open_coffees(self) -> None:
        from roastside.app.screens.coffees import CoffeesScreen
        from roastside.live.log import RoastLog

        settings = self._settings()
        log = RoastLog.open(home(), settings.display.degrees)
        self.push_screen(CoffeesScreen(log), lambda _: self._show_today())

    def _open_references(self) -> None:
        from roastside.app.screens.references import ReferencesScreen
        from roastside.live.log import RoastLog

        settings = self._settings()
        log = RoastLog.open(home(), settings.display.degrees)
        self.push_screen(ReferencesScreen(log))

    def on_roast_page_make_reference(self, event: RoastPage.MakeReference) -> None:
        from roastside.app.screens.edit_reference import EditReference
        from roastside.live.new_version import begin_with_roasts

        beginning = begin_with_roasts(event.log.book, [event.roast])
        self.push_screen(EditReference(event.log, beginning))

    def on_roast_page_replay(self, event: RoastPage.Replay) -> None:
        self._replay(event.path)

    def _check_probe(self) -> None:
        from roastside.app.screens.calibrate_setup import CalibrateSetup

        if (settings := self._settings_to_change()) is not None:
            self.push_screen(CalibrateSetup(settings.probe))

    def _open_settings(self) -> None:
        from roastside.app.screens.settings import SettingsScreen

        if (settings := self._settings_to_change()) is not None:
            self.push_screen(SettingsScreen(settings, make_outlets=self._make_outlets))

    def _settings_to_change(self) -> Settings | None:
        """What is kept, to be changed; None, and the person is told why, if that would lose it."""
        from roastside.live.settings import load_settings

        try:
            return load_settings()
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
            return None

    def _settings(self) -> Settings:
        """What is kept; if it cannot be read, what is usual, and the person is told why once."""
        from roastside.live.settings import settings_or_usual

        settings, trouble = settings_or_usual()
        if trouble and trouble != self._told_of_settings:
            self.notify(trouble, severity="error", timeout=30.0, markup=False)
        self._told_of_settings = trouble
        return settings

    def _begin(self, begin: Callable[[], LiveRoast]) -> LiveRoast | None:
        """Show the roast that begins; None if it cannot begin, and the person is told why."""
        try:
            roast = begin()
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
            return None
        self._show_roast(roast)
        return roast

    def _replay(self, path: Path) -> None:
        from roastside.live.beginnings import replayed_roast

        try:
            replay = replayed_roast(path)
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
            return
        self._show_replay(replay)

    def _show_replay(self, replay: Replay) -> None:
        from roastside.app.screens.replay import ReplayScreen

        self.push_screen(ReplayScreen(replay))

    def _show_roast(self, roast: LiveRoast) -> None:
        from roastside.app.screens.roast import RoastScreen

        self._showing = RoastScreen(roast, self._make_outlets)
        self.push_screen(self._showing)

    @property
    def _make_outlets(self) -> MakeOutlets:
        from roastside.live.outlets import all_outlets, bell_only

        return all_outlets if self._sounding else bell_only

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The palette offers all that has a key."""
        for command in super().get_system_commands(screen):
            # The framework's own list of keys would stand beside ours, and Esc does not close it.
            if command.callback != self.action_show_help_panel:
                yield command
        # Of two keys that do the same the palette needs one.
        ways = {binding.action: (key, binding) for key, binding in reversed(keys_of(screen))}
        for key, binding in reversed(ways.values()):
            words = binding.tooltip or binding.description
            act = partial(screen.run_action, binding.action)
            yield SystemCommand(f"{binding.description} ({key})", words, act)

    def action_help_quit(self) -> None:
        """Ctrl+C: the same as any other wish to leave."""
        self.call_later(self.action_quit)

    def leave_roast(self) -> None:
        """Told to go: close the recording of the roast that is shown, if there is one."""
        if self._showing is not None:
            self._showing.leave_roast()

    async def action_quit(self) -> None:
        """Leave at once, unless beans are in the roaster: then ask."""
        if self._showing is not None and not self._showing.over:
            self._showing.ask_to_end()
        else:
            self.exit()

    def on_roast_screen_left(self, event: RoastScreen.Left) -> None:
        """Once a roast is over and left, ask what came out of it; it may all be told later."""
        given = self._given is not None

        def leave() -> None:
            if given:
                self.exit(return_code=event.exit_code)
            else:
                self._show_today()

        self._showing = None
        if not given:
            self.pop_screen()
        recording = event.recording
        if recording is None or recording.absolute().parent != (home() / "recordings").absolute():
            leave()
            return
        from roastside.live.after_roast import taken_in

        ask_to_fill_in(self, lambda: taken_in(home(), recording), leave, only_if_unfinished=True)

    def _show_today(self) -> None:
        """Today anew, as what it lists may have changed."""
        if isinstance(self.screen, TodayScreen):
            self.switch_screen(_today())

    def on_replay_screen_left(self, event: ReplayScreen.Left) -> None:
        if self._replayed is not None:
            self.exit(return_code=event.exit_code)
        else:
            self.pop_screen()


def _today() -> TodayScreen:
    apart, kept = join_rests(), kept_recordings()

    def look() -> KnownRoasts:
        from roastside.live.after_roast import known_of

        return known_of(home(), [each.path for each in kept])

    return TodayScreen(kept, look, apart)


def open_today() -> int:
    """Run the app from Today; the exit code. Raises UsageError without a terminal."""
    need_terminal()
    app = RoastsideApp(sounding=True)
    leave_when_told(app.leave_roast)
    app.run()
    return app.return_code or 0


def open_roast(
    source: Source,
    session: Session,
    recorder: Recorder | None,
    note: Note | None = None,
) -> int:
    """Run the app on one roast; the exit code. Raises the troubles of opening it.

    However the app ends, the roast is ended after it and its recording closed. `note`: see
    LiveRoast.
    """
    from roastside.live.roast import LiveRoast

    roast = LiveRoast(source, session, recorder, note=note)
    roast.open()
    try:
        need_terminal()
        app = RoastsideApp(roast, sounding=True)
        leave_when_told(roast.leave)
        app.run()
    finally:
        roast.leave()
    if roast.store_error is not None:
        raise roast.store_error
    return roast.exit_code or app.return_code or 0


def open_replay(replay: Replay) -> int:
    """Run the app on one recording; the exit code. Raises UsageError without a terminal."""
    need_terminal()
    app = RoastsideApp(replay=replay)
    leave_when_told(replay.end)
    app.run()
    return app.return_code or 0


def need_terminal() -> None:
    """Raises UsageError if there is no terminal to show a screen on."""
    if not (sys.stdin and sys.stdin.isatty() and sys.stdout and sys.stdout.isatty()):
        raise UsageError("the screen needs a terminal; add --events to run without one")
