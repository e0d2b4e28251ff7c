"""A notification on the desktop, where there is one."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Callable
from dataclasses import dataclass

from roastside.core.text import clean
from roastside.sound.once import Once
from roastside.sound.program import Outcome, Program, argument
from roastside.sound.program_queue import ProgramQueue

NO_DESKTOP = (
    "no desktop notifications: there is no notify-send here; install it (libnotify), or turn "
    "notifications off in the settings"
)

_LIMIT_S = 10.0
_ROOM = 4
# Desktops may read markup in the body, and notify-send reads backslash escapes.
_MEANS_SOMETHING = re.compile(r"[<>&\\]+")


@dataclass(frozen=True, slots=True)
class Notifier:
    """A program that shows notifications. path: where it is."""

    name: str
    path: str

    def program(self, title: str, body: str, urgent: bool) -> Program:
        """The program's run that shows this."""
        return _CALLS[self.name](self.path, _text(title), _text(body), urgent)


def find_notifier(platform: str = sys.platform) -> Notifier | None:
    """The program that shows notifications on this machine, None if there is none."""
    name = _BY_PLATFORM.get(platform, "notify-send")
    path = shutil.which(name)
    return None if path is None else Notifier(name, path)


class Notices:
    """Shows notifications, one at a time, in the background. notifier: None shows none.

    tell: shows a trouble to a person, once.
    """

    def __init__(self, notifier: Notifier | None, tell: Callable[[str], None]) -> None:
        self._notifier = notifier
        self._tell_once = Once(tell)
        self._queue = ProgramQueue("notices", self._ended, room=_ROOM)
        if notifier is None:
            tell(NO_DESKTOP)

    def show(self, title: str, body: str, urgent: bool = False) -> None:
        """Show this soon; returns at once. urgent: stays until it is clicked, where it can."""
        if self._notifier is not None:
            self._queue.add(self._notifier.program(title, body, urgent), rank=int(urgent))

    def wait(self, timeout_s: float) -> bool:
        """Wait until all is shown; whether it was."""
        return self._queue.wait(timeout_s)

    def stop(self, within_s: float = 3.0) -> bool:
        """Show no more; whether the thread has ended."""
        return self._queue.stop(within_s)

    def _ended(self, program: Program, outcome: Outcome) -> None:
        trouble = outcome.trouble(program.name)
        if trouble:
            self._tell_once("notices", f"no desktop notifications: {trouble}")


def _text(text: str) -> str:
    return argument(_MEANS_SOMETHING.sub(" ", clean(text)))


def _notify_send(path: str, title: str, body: str, urgent: bool) -> Program:
    urgency = "critical" if urgent else "normal"
    return Program(
        [path, "--app-name", "roastside", "--urgency", urgency, "--", title, body], _LIMIT_S
    )


def _osascript(path: str, title: str, body: str, urgent: bool) -> Program:
    # What follows the script is handed to its run handler as a list of texts: osascript(1).
    lines = (
        "on run argv",
        "display notification (item 2 of argv) with title (item 1 of argv)",
        "end run",
    )
    script = [word for line in lines for word in ("-e", line)]
    return Program([path, *script, title, body], _LIMIT_S)


def _toast(path: str, title: str, body: str, urgent: bool) -> Program:
    # PowerShell joins arguments to its script; a variable of the environment stays a text.
    return Program(
        [path, "-NoProfile", "-NonInteractive", "-Command", _TOAST_SCRIPT],
        _LIMIT_S,
        environment={"ROASTSIDE_TITLE": title, "ROASTSIDE_BODY": body},
    )


# Windows shows a toast only for an application it knows: PowerShell is one.
_TOAST_SCRIPT = r"""
$ErrorActionPreference = 'Stop'
$null = [Windows.UI.Notifications.ToastNotificationManager, Windows.UI, ContentType=WindowsRuntime]
$null = [Windows.Data.Xml.Dom.XmlDocument, Windows.Data, ContentType=WindowsRuntime]
$manager = [Windows.UI.Notifications.ToastNotificationManager]
$plain = [Windows.UI.Notifications.ToastTemplateType]::ToastText02
$sheet = [xml]$manager::GetTemplateContent($plain).GetXml()
$texts = $sheet.GetElementsByTagName('text')
$null = $texts.Item(0).AppendChild($sheet.CreateTextNode($env:ROASTSIDE_TITLE))
$null = $texts.Item(1).AppendChild($sheet.CreateTextNode($env:ROASTSIDE_BODY))
$filled = New-Object Windows.Data.Xml.Dom.XmlDocument
$filled.LoadXml($sheet.OuterXml)
$toast = [Windows.UI.Notifications.ToastNotification]::new($filled)
$shown_by = '{1AC14E77-02E7-4E5D-B744-2EB1AE5198B7}\WindowsPowerShell\v1.0\powershell.exe'
$manager::CreateToastNotifier($shown_by).Show($toast)
"""

_CALLS: dict[str, Callable[[str, str, str, bool], Program]] = {
    "notify-send": _notify_send,
    "osascript": _osascript,
    "powershell": _toast,
}

_BY_PLATFORM = {"darwin": "osascript", "win32": "powershell"}
