"""Runs one of the system's programs: no shell, a time limit, and nothing left behind."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import StrEnum
from pathlib import PurePath
from typing import IO, Any, cast

from roastside.core.text import clean

_KEPT_BYTES = 2000
_LAST_WORDS_S = 0.5
_DYING_S = 2.0
_NOT_AT_THE_START = re.compile(r"^[\W_]+")


class Ending(StrEnum):
    """How a program came to its end."""

    DONE = "done"
    FAILED = "failed"
    TIMED_OUT = "timed out"
    STOPPED = "stopped"
    NOT_STARTED = "not started"


@dataclass(frozen=True, slots=True)
class Outcome:
    """How a program ended. exit_code: None if it gave none; complaint: the end of its stderr."""

    ending: Ending
    exit_code: int | None = None
    complaint: str = ""

    def trouble(self, name: str) -> str:
        """What went wrong, as part of a sentence; empty if nothing did.

        A complaint that begins with `error:` counts although the program calls itself done:
        espeak-ng without a sound device is like that.
        """
        last = _telling(self.complaint, name)
        because = f": {last}" if last else ""
        match self.ending:
            case Ending.FAILED:
                return f"{name} failed (exit code {self.exit_code}){because}"
            case Ending.TIMED_OUT:
                return f"{name} did not come to an end and was ended"
            case Ending.NOT_STARTED:
                return f"{name} cannot be started{because}"
            case Ending.DONE if last.startswith("error:"):
                return f"{name} failed{because.removeprefix(': error')}"
        return ""


def _telling(complaint: str, name: str) -> str:
    """The line that says what is wrong: the last, or the last that a program signs with its name.

    aplay lets a table of numbers follow on what it has to say.
    """
    lines = complaint.split("\n")
    signed = [line.removeprefix(f"{name}: ") for line in lines if line.startswith(f"{name}: ")]
    return (signed or lines)[-1].rstrip(": ")


class Program:
    """One run of a program, in a process group of its own.

    arguments: the program and what it is given, never read by a shell; stdin: what it can read;
    environment: variables on top of our own. Its output is dropped, but for the end of stderr.
    When it ends, whatever it started in its group ends too (not on Windows).
    """

    def __init__(
        self,
        arguments: Sequence[str],
        limit_s: float,
        stdin: bytes = b"",
        environment: Mapping[str, str] | None = None,
    ) -> None:
        self.arguments = tuple(arguments)
        self.limit_s = limit_s
        self._stdin = stdin
        self._environment = dict(environment or {})
        self._lock = threading.Lock()
        self._stopped = False
        self._process: subprocess.Popen[bytes] | None = None

    @property
    def name(self) -> str:
        """The program's name without its folder."""
        return PurePath(self.arguments[0]).name

    def run(self) -> Outcome:
        """Run it and wait for its end. To be called once; raises nothing."""
        try:
            process = self._start()
        except (OSError, ValueError) as error:
            return Outcome(Ending.NOT_STARTED, complaint=_why(error))
        if process is None:
            return Outcome(Ending.STOPPED)
        _aside(self._feed, cast(IO[bytes], process.stdin))
        last_words = _LastWords(cast(IO[bytes], process.stderr))
        try:
            exit_code = process.wait(self.limit_s)
            ending = Ending.DONE if exit_code == 0 else Ending.FAILED
        except subprocess.TimeoutExpired:
            exit_code, ending = None, Ending.TIMED_OUT
        self._kill(process)
        with suppress(subprocess.TimeoutExpired):  # a stuck driver can hold a dying program
            process.wait(_DYING_S)
        with self._lock:
            ending = Ending.STOPPED if self._stopped else ending
        return Outcome(ending, exit_code, last_words.text())

    def stop(self) -> None:
        """End it at once, or keep it from starting. From any thread, at any time."""
        with self._lock:
            self._stopped = True
            if self._process is not None and self._process.poll() is None:
                self._kill(self._process)

    def _start(self) -> subprocess.Popen[bytes] | None:
        with self._lock:
            if self._stopped:
                return None
            self._process = subprocess.Popen(
                self.arguments,
                stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL,
                stderr=subprocess.PIPE,
                env={**os.environ, **self._environment},
                **_APART,
            )
            return self._process

    def _feed(self, stream: IO[bytes]) -> None:
        with suppress(OSError), stream:  # it may end without reading
            stream.write(self._stdin)

    @staticmethod
    def _kill(process: subprocess.Popen[bytes]) -> None:
        with suppress(OSError):  # all of it may have ended already
            if sys.platform == "win32":
                process.kill()
            else:
                # The group outlives its leader as long as anything the program started runs.
                os.killpg(process.pid, signal.SIGKILL)


class _LastWords:
    """Reads a program's stderr to its end, so that it never blocks, and keeps the last of it."""

    def __init__(self, stream: IO[bytes]) -> None:
        self._kept = b""
        self._thread = _aside(self._read, stream)

    def _read(self, stream: IO[bytes]) -> None:
        with stream:
            while chunk := os.read(stream.fileno(), 4096):
                self._kept = (self._kept + chunk)[-_KEPT_BYTES:]

    def text(self) -> str:
        """The lines kept, each made printable; empty ones are left out."""
        self._thread.join(_LAST_WORDS_S)
        lines = map(clean, self._kept.decode("utf-8", "replace").splitlines())
        return "\n".join(filter(None, lines))


def argument(text: str, limit: int = 500) -> str:
    """Text as an argument that no program takes for an option, a file or markup.

    It is one printable line that begins with a letter or a digit.
    """
    return _NOT_AT_THE_START.sub("", clean(text, limit))


def _aside(work: Callable[[IO[bytes]], None], stream: IO[bytes]) -> threading.Thread:
    """Do this in a thread: a pipe blocks as long as the program at its other end pleases."""
    thread = threading.Thread(target=work, args=(stream,), name="program pipe", daemon=True)
    thread.start()
    return thread


def _why(error: OSError | ValueError) -> str:
    return (error.strerror or str(error)) if isinstance(error, OSError) else str(error)


# A terminal's Ctrl-C is meant for us alone; what we started we end ourselves.
_APART: dict[str, Any]
if sys.platform == "win32":
    _APART = {"creationflags": subprocess.CREATE_NO_WINDOW | subprocess.CREATE_NEW_PROCESS_GROUP}
else:
    _APART = {"start_new_session": True}
