"""Out of earshot: runs a command of the person's own when an alert comes."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Mapping, Sequence
from pathlib import PureWindowsPath

from roastside.core.errors import UsageError
from roastside.core.events import Alert, Priority
from roastside.sound.once import Once
from roastside.sound.program import Outcome, Program, argument
from roastside.sound.program_queue import ProgramQueue

PLACEHOLDERS: Mapping[str, Callable[[Alert], str]] = {
    "alert": lambda alert: alert.alert,
    "family": lambda alert: alert.family,
    "priority": lambda alert: alert.priority,
    "state": lambda alert: alert.state,
    "message": lambda alert: argument(alert.message),
    "time_s": lambda alert: f"{alert.time_s:.1f}",
    "elapsed_s": lambda alert: "" if alert.elapsed_s is None else f"{alert.elapsed_s:.1f}",
}
"""What a command can be told: `{message}` in an argument, ROASTSIDE_MESSAGE in its environment."""

LIMIT_S = 30.0

_ROOM = 16
_RANKS = list(Priority)
_PLACEHOLDER = re.compile(r"\{(\w+)\}")
_BATCH_FILES = (".bat", ".cmd")


class Outside:
    """Runs one command for each alert it is given, one at a time, in the background.

    command: the program and its arguments, no shell. limit_s: how long a run may take.
    tell: shows a trouble to a person, each kind once, in a thread of its own.

    Raises UsageError if the command can not be run.
    """

    def __init__(
        self, command: Sequence[str], tell: Callable[[str], None], limit_s: float = LIMIT_S
    ) -> None:
        check_command(command)
        self._command = tuple(command)
        self._limit_s = limit_s
        self._tell_once = Once(tell)
        self._queue = ProgramQueue("command", self._ended, room=_ROOM)

    def take(self, alert: Alert) -> None:
        """Run the command for this alert in its turn, the gravest first. Returns at once.

        When alerts come faster than the command ends, the least grave are left out.
        """
        told = {name: value_of(alert) for name, value_of in PLACEHOLDERS.items()}
        arguments = [self._command[0], *(_filled(part, told) for part in self._command[1:])]
        environment = {f"ROASTSIDE_{name.upper()}": value for name, value in told.items()}
        program = Program(arguments, self._limit_s, environment=environment)
        if not self._queue.add(program, _RANKS.index(alert.priority)):
            self._tell_once(
                "too many",
                f"alerts come faster than {program.name} ends; it is not run for each of them",
            )

    def wait(self, timeout_s: float) -> bool:
        """Wait until the command has run for all alerts; whether it has."""
        return self._queue.wait(timeout_s)

    def stop(self, within_s: float = 3.0) -> bool:
        """End the command and run it no more; whether its thread has ended."""
        return self._queue.stop(within_s)

    def _ended(self, program: Program, outcome: Outcome) -> None:
        trouble = outcome.trouble(program.name)
        if trouble:
            self._tell_once(
                outcome.ending,
                f"the alert command: {trouble}; mend the command in the settings",
            )


def check_command(command: Sequence[str]) -> None:
    """Raises UsageError, saying what to write instead, if the command can not be run."""
    if not command or not command[0]:
        raise UsageError(
            'the alert command is empty; write a list such as ["send-it", "{message}"]'
        )
    if any("\0" in part for part in command):
        raise UsageError("the alert command has a NUL character in it; take it out")
    name = command[0]
    found = shutil.which(name)
    if PureWindowsPath(found or name).suffix.lower() in _BATCH_FILES:
        raise UsageError(
            f"the alert command {name} is a batch file, and the shell that reads it would run "
            "what stands in a message; name a program instead"
        )
    if found is None:
        raise UsageError(
            f"the alert command {name} is not a program that can be run; give its full path"
        )
    for unknown in set(_PLACEHOLDER.findall(" ".join(command[1:]))) - PLACEHOLDERS.keys():
        known = ", ".join(f"{{{each}}}" for each in PLACEHOLDERS)
        raise UsageError(f"the alert command has {{{unknown}}} in it; it can be told {known}")


def _filled(part: str, told: Mapping[str, str]) -> str:
    return _PLACEHOLDER.sub(lambda found: told[found[1]], part)
