"""Plays sounds on the sound device through the library, in a process apart."""

from __future__ import annotations

import os
import queue
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from threading import Lock, Thread
from typing import IO, cast

import roastside
from roastside.core.text import clean
from roastside.sound.player import Clip
from roastside.sound.tone import Tone

_START_S = 10.0
_ANSWER_S = 2.0
_GONE = "the sound device has gone"

_COMMAND = (sys.executable, "-P", "-m", "roastside.sound.device")


def library_there() -> bool:
    """Whether the sound library is installed."""
    return find_spec("miniaudio") is not None


class DevicePlayer:
    """The sound device. Started with the first turn, and again after it failed.

    command: the program to feed, see `device`. patience_s: how long an answer may take.
    """

    name = "the sound device"
    follows = True

    def __init__(self, command: Sequence[str] = _COMMAND, patience_s: float = _ANSWER_S) -> None:
        self._command = tuple(command)
        self._patience_s = patience_s
        self._device: _Device | None = None

    def turn(self, clip: Clip) -> DeviceTurn:
        """One sound."""
        return DeviceTurn(self._ask, clip, self._patience_s)

    def follow(self, tone: Tone) -> str:
        """Sound this tone from now on."""
        return self._ask(lambda device: _follow(device, tone, self._patience_s))

    def trouble(self) -> str:
        """Why the device ended by itself."""
        if self._device is None or self._device.running:
            return ""
        return self._drop() or _GONE

    def close(self) -> None:
        """End the process and with it all sound."""
        self._drop()

    def _ask(self, question: Callable[[_Device], None]) -> str:
        try:
            if self._device is None:
                self._device = _Device(self._command)
                self._device.wait_for("ready", _START_S)
            question(self._device)
        except _LostError as lost:
            return self._drop() or str(lost)
        return ""

    def _drop(self) -> str:
        device, self._device = self._device, None
        return "" if device is None else device.end()


class DeviceTurn:
    """One sound on the device. began_s: when its first sample was taken, time.monotonic()."""

    def __init__(
        self, ask: Callable[[Callable[[_Device], None]], str], clip: Clip, patience_s: float
    ) -> None:
        self._ask = ask
        self._clip = clip
        self._patience_s = patience_s
        self._lock = Lock()
        self._stopped = False
        self._device: _Device | None = None
        self.began_s: float | None = None

    def run(self) -> str:
        """Play it and wait for its end."""
        return self._ask(self._play)

    def stop(self) -> None:
        """Break it off, or keep it from starting."""
        with self._lock:
            self._stopped = True
            if self._device is not None:
                with suppress(_LostError):  # then whoever waits for it learns that
                    self._device.say("stop")

    def _play(self, device: _Device) -> None:
        with self._lock:
            if self._stopped:
                return
            device.say(f"play {self._clip.path}")
            self._device = device
        try:
            if device.wait_for("began", self._patience_s, or_for="done") == "began":
                self.began_s = time.monotonic()
                device.wait_for("done", self._clip.seconds + self._patience_s)
        finally:
            with self._lock:
                self._device = None


def _follow(device: _Device, tone: Tone, patience_s: float) -> None:
    device.say(f"tone {tone.pitch_hz:.3f} {tone.level:.5f}")
    device.wait_for("tone", patience_s)


class _LostError(Exception):
    """The device does not answer any more."""


class _Device:
    """The running process: what is said to it and what it answers."""

    def __init__(self, command: Sequence[str]) -> None:
        """Start it. Raises _LostError."""
        places = [str(Path(roastside.__file__).parents[1]), os.environ.get("PYTHONPATH", "")]
        try:
            self._process = subprocess.Popen(
                command,
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=subprocess.DEVNULL,
                env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, places))},
            )
        except OSError as error:
            raise _LostError(f"the sound device cannot be started: {error.strerror}") from error
        self._why = ""
        self._answers: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._listener = Thread(target=self._listen, name="sound device", daemon=True)
        self._listener.start()

    @property
    def running(self) -> bool:
        """Whether it has not ended by itself."""
        return self._listener.is_alive()

    def say(self, line: str) -> None:
        """Give it a command. Raises _LostError."""
        stream = cast(IO[bytes], self._process.stdin)
        try:
            stream.write(f"{line}\n".encode())
            stream.flush()
        except (OSError, ValueError) as error:
            raise _LostError(_GONE) from error

    def wait_for(self, answer: str, within_s: float, or_for: str = "") -> str:
        """Wait for an answer, passing over others. Raises _LostError."""
        deadline_s = time.monotonic() + within_s
        while True:
            try:
                heard = self._answers.get(timeout=max(deadline_s - time.monotonic(), 0.0))
            except queue.Empty:
                raise _LostError("the sound device does not answer") from None
            if heard is None:
                raise _LostError(_GONE)
            if heard in (answer, or_for):
                return heard

    def end(self) -> str:
        """End it; why it had ended by itself, empty if it had not said."""
        self._process.kill()
        self._process.wait()
        self._listener.join(_ANSWER_S)
        with suppress(OSError):
            cast(IO[bytes], self._process.stdin).close()
        return self._why

    def _listen(self) -> None:
        with cast(IO[bytes], self._process.stdout) as stream:
            for line in stream:
                words = clean(line.decode("utf-8", "replace"))
                if words.startswith("failed "):
                    self._why = words.removeprefix("failed ")
                else:
                    self._answers.put(words)
        self._answers.put(None)
