"""The sound device, in a process of its own: `python -m roastside.sound.device [BACKEND]`.

Drivers crash, hang and print into the terminal; none of it may touch a roast. Commands come by
stdin, one a line: `play FILE`, `stop`, `tone HZ LEVEL`. Answers go to stdout: `ready`, `began`,
`done`, `tone`, and `failed WHY`, after which it ends. It also ends with its stdin.

The device is kept running with silence between sounds: a wireless speaker that has gone to sleep
swallows the start of the next alert.
"""

from __future__ import annotations

import os
import signal
import sys
import time
import wave
from collections.abc import Generator
from pathlib import Path
from threading import Lock, Thread
from typing import NoReturn

import miniaudio
import numpy as np
from numpy.typing import NDArray

from roastside.sound.mixer import Mixer
from roastside.sound.tone import Tone
from roastside.sound.tones import to_int16
from roastside.sound.wav import RATE_HZ

_BUFFER_MS = 40
_STALLED_S = 2.0
_VOID = "Null"

_answering = Lock()


def main() -> None:
    """Serve until stdin ends or the device fails."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is meant for the roast
    mixer = Mixer(began=lambda: _answer("began"), done=lambda: _answer("done"))
    stream = _Stream(mixer)
    try:
        device = _open(sys.argv[1:])
        device.stop_callback = lambda: _fail("the sound device has gone")
        device.start(stream.samples())
    except miniaudio.MiniaudioError as error:
        _fail(f"no sound device can be opened: {error.args[0]}")
    Thread(target=stream.watch, daemon=True).start()
    _answer("ready")
    for line in sys.stdin:
        command, _, rest = line.rstrip("\n").partition(" ")
        if command == "play":
            mixer.play(_read(Path(rest)))
        elif command == "stop":
            mixer.stop()
        elif command == "tone":
            pitch_hz, level = map(float, rest.split())
            mixer.follow(Tone(pitch_hz, level))
            _answer("tone")
    os._exit(0)  # at once, whatever a driver may want to wait for


class _Stream:
    """What the device asks for, and whether it still asks."""

    def __init__(self, mixer: Mixer) -> None:
        self._mixer = mixer
        self._asked_s = time.monotonic()

    def samples(self) -> Generator[bytes, int, None]:
        """A generator, begun, that is sent a number of samples and gives them."""
        generator = self._generate()
        next(generator)
        return generator

    def watch(self) -> None:
        """End the process when the device asks for nothing any more."""
        while time.monotonic() - self._asked_s < _STALLED_S:
            time.sleep(0.5)
        _fail("the sound device has stopped")

    def _generate(self) -> Generator[bytes, int, None]:
        n_samples = yield b""
        while True:
            self._asked_s = time.monotonic()
            n_samples = yield to_int16(self._mixer.render(n_samples))


def _open(backends: list[str]) -> miniaudio.PlaybackDevice:
    device = miniaudio.PlaybackDevice(
        output_format=miniaudio.SampleFormat.SIGNED16,
        nchannels=1,
        sample_rate=RATE_HZ,
        buffersize_msec=_BUFFER_MS,
        backends=[miniaudio.Backend[name.upper()] for name in backends],
        app_name="roastside",
    )
    # Where there is no sound system the library plays into the void and calls that well.
    if device.backend == _VOID and not backends:
        raise miniaudio.MiniaudioError("this machine has no sound system that is known")
    return device


def _read(path: Path) -> NDArray[np.float64]:
    try:
        with wave.open(str(path)) as wav:
            return np.frombuffer(wav.readframes(wav.getnframes()), "<i2") / 32767.0
    except (OSError, EOFError, wave.Error) as error:
        _fail(f"{path} cannot be read: {error}")


def _answer(words: str) -> None:
    with _answering:
        print(words, flush=True)


def _fail(why: str) -> NoReturn:
    _answer(f"failed {why}")
    os._exit(1)


if __name__ == "__main__":
    main()
