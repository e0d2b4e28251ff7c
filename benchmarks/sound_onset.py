"""From the alert to the first sample of its sound at the sound system's output.

    python benchmarks/sound_onset.py [SOUNDS]

Needs a PulseAudio server that answers, or PipeWire with its PulseAudio face, and `parec` and
`paplay` of pulseaudio-utils. Where there is no audio hardware a device that plays into the void
does as well: `pulseaudio -n -L module-native-protocol-unix -L module-null-sink`.

A monitor of the output is recorded, and an alert is handed to `Hearing` at irregular moments, as
the roast does. One clock tells both: it stops when the recording has the first sample that is not
silent. Each player of this machine is measured by itself. The baseline is a plain `paplay` of the
same file, in the same run. The loop is what the recording itself adds at most: from bytes written
into a stream that is open already to the recording that has them. It is not subtracted: a sound
came out no later than its onset says, and earlier by the loop at most. The buffer of a real device
and the way of a wireless speaker are in none of it.
"""

from __future__ import annotations

import os
import random
import shutil
import statistics
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import IO, cast

import numpy as np

from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.live.hearing import Hearing
from roastside.live.outlets import Outlets
from roastside.live.sound_settings import SoundSettings
from roastside.sound.clips import Clips
from roastside.sound.motifs import motif_for
from roastside.sound.player import Player
from roastside.sound.players import Found, find_players
from roastside.sound.sound_queue import SoundQueue

ALERT = Alert(
    0.0, None, "below_reference", Family.DEVIATION, Priority.MEDIUM, AlertState.RAISED, "more heat"
)
RATE_HZ = 48_000
LOUD = 33
"""Of 32767: a thousandth of full scale. The sounds begin softly and pass it within 2 ms."""

SILENT_S = 0.4
PATIENCE_S = 20.0
STREAM = ("--raw", "--format=s16le", "--channels=1", f"--rate={RATE_HZ}", "--latency-msec=5")


class Ear:
    """Records what the sound system puts out, and notes when a sound has come out of it."""

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            ["parec", "--device=@DEFAULT_MONITOR@", *STREAM], stdout=subprocess.PIPE
        )
        self._changed = threading.Condition()
        self._heard = 0
        self._loud_to = 0
        self._onset_s: float | None = None
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def wait_for_silence(self) -> None:
        """Wait until nothing was heard for a while."""
        with self._changed:
            begun = self._heard
            self._wait(lambda: self._heard - max(begun, self._loud_to) > SILENT_S * RATE_HZ)
            self._onset_s = None

    def onset_s(self) -> float:
        """When the first sample since the silence was in the recording, time.monotonic()."""
        with self._changed:
            self._wait(lambda: self._onset_s is not None)
            return cast(float, self._onset_s)

    def close(self) -> None:
        """Record no more."""
        self._process.kill()
        self._process.wait()

    def _wait(self, for_what: Callable[[], bool]) -> None:
        if not self._changed.wait_for(for_what, PATIENCE_S):
            sys.exit(f"the monitor of the default sink did not bring it within {PATIENCE_S:.0f} s")

    def _listen(self) -> None:
        stream = cast(IO[bytes], self._process.stdout)
        odd = b""
        while data := os.read(stream.fileno(), 65536):
            now_s, data = time.monotonic(), odd + data
            odd = data[len(data) & ~1 :]
            samples = np.frombuffer(data[: len(data) & ~1], "<i2").astype(int)
            loud = np.flatnonzero(np.abs(samples) >= LOUD)
            with self._changed:
                if len(loud):
                    self._loud_to = self._heard + int(loud[-1])
                    self._onset_s = self._onset_s or now_s
                self._heard += len(samples)
                self._changed.notify_all()


def onsets(ear: Ear, sound: Callable[[], object], count: int) -> list[float]:
    """Seconds from asking for a sound to its first sample at the output; the first one apart."""
    rng = random.Random(7)
    took = []
    for _ in range(count + 1):
        ear.wait_for_silence()
        time.sleep(rng.uniform(0.0, 0.3))
        asked_s = time.monotonic()
        sound()
        took.append(ear.onset_s() - asked_s)
    return took


@contextmanager
def alerted(player: Player) -> Iterator[Callable[[], None]]:
    """What raises an alert that this player is to sound."""
    sounds = SoundQueue(print, print, found=Found((player,)), silenced=lambda: False)
    minutes = 0

    def clock() -> float:
        return time.monotonic() + 60.0 * minutes

    hearing = Hearing(SoundSettings(), Outlets(sounds), print, clock=clock)

    def sound() -> None:
        nonlocal minutes
        minutes += 2  # what comes within a minute of another would wait for it
        hearing([replace(ALERT, state=AlertState.CLEARED), ALERT])

    hearing.start()
    assert sounds.wait(PATIENCE_S)
    yield sound
    hearing.stop()
    assert sounds.stop(PATIENCE_S)


@contextmanager
def plain() -> Iterator[Callable[[], None]]:
    """What starts a plain paplay of the same file."""
    clips = Clips()
    running: list[subprocess.Popen[bytes]] = []
    command = ["paplay", str(clips.motif(motif_for(ALERT)).path)]
    yield lambda: running.append(subprocess.Popen(command))
    for each in running:
        each.wait()
    clips.close()


@contextmanager
def loop() -> Iterator[Callable[[], None]]:
    """What writes a click into a stream that is open already."""
    process = subprocess.Popen(["pacat", "--playback", *STREAM], stdin=subprocess.PIPE)
    stream = cast(IO[bytes], process.stdin)
    click = np.full(RATE_HZ // 20, 8000, "<i2").tobytes()

    def sound() -> None:
        stream.write(click)
        stream.flush()

    yield sound
    stream.close()
    process.wait()


def main() -> None:
    """Measure all and print medians, the worst and ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 30
    missing = [name for name in ("pactl", "parec", "paplay") if shutil.which(name) is None]
    if missing:
        sys.exit(f"{', '.join(missing)} is missing; install pulseaudio-utils")
    asked = subprocess.run(["pactl", "info"], capture_output=True, check=False)
    if asked.returncode:
        sys.exit("no PulseAudio server answers; start one, see the top of this file")
    ear = Ear()
    with loop() as sound:
        found = {"the loop": onsets(ear, sound, count)}
    with plain() as sound:
        found["plain paplay"] = onsets(ear, sound, count)
    clips = Clips()
    for player in find_players(environment={}).players:
        trouble = player.turn(clips.silence()).run()
        if trouble:
            print(f"{player.name} is left out: {trouble}")
            continue
        with alerted(player) as sound:
            found[player.name] = onsets(ear, sound, count)
    clips.close()
    ear.close()
    base = statistics.median(found["plain paplay"][1:])
    for name, (first, *rest) in found.items():
        median = statistics.median(rest)
        print(
            f"{name:16} {count} sounds   first {first * 1000:6.1f} ms   "
            f"median {median * 1000:6.1f} ms   worst {max(rest) * 1000:6.1f} ms   "
            f"median ratio {median / base:5.2f}"
        )


if __name__ == "__main__":
    main()
