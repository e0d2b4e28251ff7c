"""What a person is asked for while a roast goes on: a note, a control, whether to end it."""

from __future__ import annotations

from collections.abc import Callable

from textual.app import App

from roastside.app import telling
from roastside.app.screens.dialogs import EndDialog, LineDialog
from roastside.core.readings import MarkName
from roastside.live.roast import LiveRoast


def ask_note(app: App[object], roast: LiveRoast) -> None:
    """Write a remark into the roast, stamped with the moment it was asked for."""
    at_s = roast.source.now_s()

    def keep(text: str | None) -> None:
        if text:
            roast.mark(MarkName.COMMENT, note=text, at_s=at_s)

    app.push_screen(LineDialog("Note", "what you saw, heard or did"), keep)


def ask_control(app: App[object], roast: LiveRoast) -> None:
    """Write down a change of heat or air, stamped with the moment it was asked for."""
    at_s = roast.source.now_s()

    def keep(text: str | None) -> None:
        control = telling.control_words(text or "")
        if control is not None:
            roast.mark(MarkName.CONTROL, value=control.value, note=control.note, at_s=at_s)

    def trouble(text: str) -> str:
        fits = not text or telling.control_words(text) is not None
        return "" if fits else "Write a name and one number, such as: heat 70"

    app.push_screen(LineDialog("Control changed", "heat 70", trouble), keep)


def ask_to_end(app: App[object], roast: LiveRoast, ended: Callable[[], None]) -> None:
    """Ask whether to end the roast; ask once, however often the key is pressed."""
    if isinstance(app.screen, EndDialog):
        return

    def answered(sure: bool | None) -> None:
        if sure:
            roast.end()
            ended()

    app.push_screen(EndDialog(*telling.end_words(roast)), answered)
