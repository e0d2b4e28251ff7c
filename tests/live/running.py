"""roastside as outside programs meet it: a process with arguments, streams and an exit code."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from types import TracebackType
from typing import IO, Any, NamedTuple, Self

import pytest

from roastside.cli import main
from roastside.probes.virtual_line import VirtualLine

PATIENCE_S = 30.0
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
HOUSE = FIXTURES / "house-espresso-v3.csv"

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo-terminals, signals")

WAKING_C = 90.0
"""What a device sends while nobody may be listening yet."""

AS_MODULE = ("-m", "roastside")

IN_LITTLE_ROOM = """
import resource, signal, sys
from roastside.cli import main

def give_room(_signal, _frame):
    resource.setrlimit(resource.RLIMIT_FSIZE, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
signal.signal(signal.SIGUSR1, give_room)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
raise SystemExit(main(sys.argv[2:]))
"""
"""A limit on the size of files stands in for a full disk, until SIGUSR1 lifts it."""

Event = dict[str, Any]


def in_little_room(room_bytes: int) -> tuple[str, ...]:
    """What to run instead of AS_MODULE for a disk that holds no more than this a file."""
    return ("-c", IN_LITTLE_ROOM, str(room_bytes))


class Done(NamedTuple):
    """How a command ended."""

    code: int
    out: str
    err: str

    @property
    def events(self) -> list[Event]:
        return parse(self.out)

    @property
    def sentence(self) -> str:
        """The one line on stderr of a command that failed; its shape is checked."""
        lines = self.err.splitlines()
        assert len(lines) == 1, f"one sentence was expected on stderr, got {self.err!r}"
        assert lines[0].startswith("roastside: "), lines[0]
        return lines[0]


@lru_cache(maxsize=8)
def parse(text: str) -> list[Event]:
    """Every line as the JSON object it must be; NaN and Infinity are no JSON."""
    return [json.loads(line, parse_constant=_refuse) for line in text.splitlines()]


def _refuse(constant: str) -> float:
    raise ValueError(f"{constant} is not JSON")


def environment(home: Path) -> dict[str, str]:
    return {**os.environ, "ROASTSIDE_HOME": str(home)}


def run(*arguments: object, home: Path, closed: str = "") -> Done:
    """Run a command to its end, without a terminal; `closed` as a shell closes it: `<&-`."""
    command = [sys.executable, *AS_MODULE, *map(str, arguments)]
    if closed:
        if sys.platform == "win32":
            pytest.skip("needs a POSIX shell")
        command = ["sh", "-c", f'exec "$0" "$@" {closed}', *command]
    done = subprocess.run(
        command,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        encoding="utf-8",
        env=environment(home),
        timeout=PATIENCE_S,
        start_new_session=sys.platform != "win32",
    )
    return Done(done.returncode, done.stdout, done.stderr)


def run_here(
    *arguments: object, home: Path, patch: pytest.MonkeyPatch, streams: pytest.CaptureFixture[str]
) -> Done:
    """The same inside this process, for commands that end at once; `streams` is `capfd`."""
    patch.setenv("ROASTSIDE_HOME", str(home))
    streams.readouterr()
    code = main([str(argument) for argument in arguments])
    out, err = streams.readouterr()
    return Done(code, out, err)


class Running:
    """A command that goes on until it is ended; its streams are read as they come."""

    def __init__(
        self,
        *arguments: object,
        home: Path,
        program: Sequence[str] = AS_MODULE,
        extra_env: Mapping[str, str] | None = None,
    ) -> None:
        self._process = subprocess.Popen(
            [sys.executable, *program, *map(str, arguments)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment(home) | dict(extra_env or {}),
            start_new_session=True,
        )
        self._out: list[str] = []
        self._err: list[str] = []
        self._readers = [
            threading.Thread(target=_collect, args=(stream, lines), daemon=True)
            for stream, lines in (
                (self._process.stdout, self._out),
                (self._process.stderr, self._err),
            )
        ]
        for reader in self._readers:
            reader.start()

    @property
    def events(self) -> list[Event]:
        """The events so far."""
        return parse("".join(line for line in list(self._out) if line.endswith("\n")))

    @property
    def err(self) -> str:
        """The words for people so far."""
        return "".join(list(self._err))

    def beans_c(self) -> list[float]:
        """Bean temperatures of the samples so far, without those that woke the line."""
        return [c for c in beans_c(self.events) if c != WAKING_C]

    def wait_for(
        self, enough: Callable[[], object], what: str, meanwhile: Callable[[], None] = lambda: None
    ) -> None:
        """Wait until it is so; fails with all that was said if it never is."""
        deadline = time.monotonic() + PATIENCE_S
        while not enough():
            running = self._process.poll() is None
            assert running and time.monotonic() < deadline, (
                f"{what} did not come; exit {self._process.poll()}, stderr {self.err!r}, "
                f"last of stdout {self._out[-3:]}"
            )
            meanwhile()
            time.sleep(0.02)

    def wake(self, line: VirtualLine) -> None:
        """Send until a sample comes back: from then on every line that is sent is heard."""
        count = len(self.events)
        self.wait_for(
            lambda: any(event["event"] == "sample" for event in self.events[count:]),
            "the first sample",
            meanwhile=lambda: line.write(f"{WAKING_C},{WAKING_C}\n".encode()),
        )

    def wait_for_beans(self, wanted: Sequence[float]) -> None:
        """Wait until as many samples came, and check that they begin like this."""
        self.wait_for(lambda: len(self.beans_c()) >= len(wanted), f"{len(wanted)} samples")
        assert self.beans_c()[: len(wanted)] == list(wanted)

    def tell(self, number: signal.Signals) -> None:
        """Send a signal."""
        self._process.send_signal(number)

    def end(self, number: signal.Signals = signal.SIGTERM) -> Done:
        """Send a signal and wait for the end."""
        self.tell(number)
        return self.ended()

    def ended(self) -> Done:
        """Wait for the end."""
        code = self._process.wait(PATIENCE_S)
        for reader in self._readers:
            reader.join(PATIENCE_S)
        return Done(code, "".join(self._out), self.err)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._process.poll() is None:
            self._process.kill()
        self._process.wait()
        for reader in self._readers:
            reader.join(PATIENCE_S)


def _collect(stream: IO[bytes], lines: list[str]) -> None:
    with stream:
        for line in stream:
            lines.append(line.decode("utf-8"))


def send(line: VirtualLine, beans: Sequence[float]) -> None:
    """Send readings as a device does, a line each."""
    for bean_c in beans:
        line.write(f"{bean_c:.2f},230.00\n".encode())


def beans_c(events: Sequence[Event]) -> list[float]:
    """Bean temperatures of the samples among some events."""
    return [event["bean_c"] for event in events if event["event"] == "sample"]


def named(events: Sequence[Event], name: str) -> list[Event]:
    """The events of one kind."""
    return [event for event in events if event["event"] == name]
