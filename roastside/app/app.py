"""The app: which screen is shown, and how it begins and ends."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import App, SystemCommand
from textual.screen import Screen

from roastside.app.screens.keys import keys_of
from roastside.app.screens.today import TodayScreen
from roastside.app.terminal import leave_when_told
from roastside.core.errors import RoastsideError, UsageError
from roastside.live.home import cautions_were_read, note_cautions_read
from roastside.live.kept import kept_recordings

if TYPE_CHECKING:
    from roastside.app.screens.roast import RoastScreen
    from roastside.app.screens.setup import Setup
    from roastside.core.session import Session
    from roastside.live.outlets import MakeOutlets
    from roastside.live.roast import LiveRoast
    from roastside.live.settings import Settings
    from roastside.probes.source import Source
    from roastside.record.recorder import Recorder


class RoastsideApp(App[None]):
    """Opens on Today, or on a roast if it is given one that is opened already.

    What computes a roast is imported when the first roast begins, so that Today is there at once.
    """

    TITLE = "roastside"
    CSS_PATH = "style.tcss"

    def __init__(self, roast: LiveRoast | None = None, sounding: bool = False) -> None:
        """`sounding`: with sounds, speech and messages, where else only the bell rings."""
        super().__init__()
        self._sounding = sounding
        self._given = roast
        self._showing: RoastScreen | None = None

    def on_mount(self) -> None:
        if self._given is not None:
            self._show_roast(self._given)
        else:
            self.push_screen(TodayScreen(kept_recordings()))
        if not cautions_were_read():
            from roastside.app.screens.cautions import CautionsScreen

            self.push_screen(CautionsScreen(), lambda _: note_cautions_read())

    def on_today_screen_chosen(self, event: TodayScreen.Chosen) -> None:
        if event.what == "roast":
            self._ask_for_roast()
        elif event.what == "practise":
            from roastside.live.beginnings import practice_roast

            self._begin(practice_roast)
        elif event.what == "calibrate":
            self._check_probe()
        elif event.what == "settings":
            self._open_settings()
        else:
            from roastside.live.beginnings import replayed_roast

            self._begin(lambda: replayed_roast(Path(event.what)))

    def _ask_for_roast(self) -> None:
        from roastside.app.screens.setup import SetupDialog

        if (settings := self._settings()) is not None:
            self.push_screen(SetupDialog(settings.probe), self._begin_listening)

    def _begin_listening(self, setup: Setup | None) -> None:
        if setup is None:
            return
        from roastside.live.beginnings import listened_roast
        from roastside.live.line import typed_line

        self._begin(
            lambda: listened_roast(
                typed_line(setup.port, setup.baud, setup.wire), setup.reference, setup.development
            )
        )

    def _check_probe(self) -> None:
        from roastside.app.screens.calibrate_setup import CalibrateSetup

        if (settings := self._settings()) is not None:
            self.push_screen(CalibrateSetup(settings.probe))

    def _open_settings(self) -> None:
        from roastside.app.screens.settings import SettingsScreen

        if (settings := self._settings()) is not None:
            self.push_screen(SettingsScreen(settings, make_outlets=self._make_outlets))

    def _settings(self) -> Settings | None:
        """What is kept; if it cannot be read, the person is told why."""
        from roastside.live.settings import load_settings

        try:
            return load_settings()
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
            return None

    def _begin(self, begin: Callable[[], LiveRoast]) -> None:
        try:
            roast = begin()
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
            return
        self._show_roast(roast)

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
        yield from super().get_system_commands(screen)
        for key, binding in keys_of(screen):
            words = binding.tooltip or binding.description
            act = partial(screen.run_action, binding.action)
            yield SystemCommand(f"{binding.description} ({key})", words, act)

    def action_help_quit(self) -> None:
        """Ctrl+C: the same as any other wish to leave."""
        self.call_later(self.action_quit)

    def end_roast(self) -> None:
        """End the roast that is shown, if there is one, and have its recording closed."""
        if self._showing is not None:
            self._showing.end_roast()

    async def action_quit(self) -> None:
        """Leave at once, unless beans are in the roaster: then ask."""
        if self._showing is not None and not self._showing.over:
            self._showing.ask_to_end()
        else:
            self.exit()

    def on_roast_screen_left(self, event: RoastScreen.Left) -> None:
        if self._given is not None:
            self.exit(return_code=event.exit_code)
            return
        self._showing = None
        self.pop_screen()
        self.switch_screen(TodayScreen(kept_recordings()))


def open_today() -> int:
    """Run the app from Today; the exit code. Raises UsageError without a terminal."""
    need_terminal()
    app = RoastsideApp(sounding=True)
    leave_when_told(app.end_roast)
    app.run()
    return app.return_code or 0


def open_roast(source: Source, session: Session, recorder: Recorder | None) -> int:
    """Run the app on one roast; the exit code. Raises the troubles of opening it.

    However the app ends, the roast is ended after it and its recording closed.
    """
    from roastside.live.roast import LiveRoast

    roast = LiveRoast(source, session, recorder)
    roast.open()
    try:
        need_terminal()
        app = RoastsideApp(roast, sounding=True)
        leave_when_told(roast.end)
        app.run()
    finally:
        roast.end()
    if roast.store_error is not None:
        raise roast.store_error
    return roast.exit_code or app.return_code or 0


def need_terminal() -> None:
    """Raises UsageError if there is no terminal to show a screen on."""
    if not (sys.stdin and sys.stdin.isatty() and sys.stdout and sys.stdout.isatty()):
        raise UsageError("the screen needs a terminal; add --events to run without one")
