"""From the alert to the first sample of its sound in the hands of what plays it.

    python benchmarks/sound_latency.py [SOUNDS]

Alerts come at irregular moments. "program": the clock stops when a stand-in for the system's
player has read the first sample; the baseline, measured in the same run, starts that stand-in
directly. "device": the clock stops when word has come back that the device has taken the first
sample; it needs the sound library, and plays on the library's own device into the void. What the
sound system adds is in neither, see `sound_onset.py`. The first sound of each is told apart.
"""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.sound.clips import Clips
from roastside.sound.device_player import DevicePlayer, DeviceTurn, library_there
from roastside.sound.motifs import motif_for
from roastside.sound.player import Clip, Player
from roastside.sound.players import Found
from roastside.sound.sound_queue import SoundQueue
from roastside.sound.system_player import SystemPlayer

STAND_IN = """#!{python} -IS
import sys, time, wave
with wave.open(sys.argv[-1]) as wav:
    wav.readframes(1)
    now = time.monotonic()
with open({record!r}, "a") as record:
    record.write(f"{{now}}\\n")
"""

ALERT = Alert(
    0.0, None, "below_reference", Family.DEVIATION, Priority.MEDIUM, AlertState.RAISED, "more heat"
)
PAUSE_S = 0.3
PATIENCE_S = 20.0


class StandIn:
    """A program that notes when it has a sound's first sample."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "player"
        self._record = folder / "record"
        self.path.write_text(STAND_IN.format(python=sys.executable, record=str(self._record)))
        self.path.chmod(0o755)

    def last_s(self) -> float:
        """When the last sound began."""
        return float(self._record.read_text().splitlines()[-1])


class NotingDevice(DevicePlayer):
    """A device player that knows when the last sound began."""

    _last: DeviceTurn

    def turn(self, clip: Clip) -> DeviceTurn:
        """As ever, and kept."""
        self._last = super().turn(clip)
        return self._last

    def last_s(self) -> float:
        """When the last sound began."""
        assert self._last.began_s is not None
        return self._last.began_s


def latencies(sound: Callable[[], object], last_s: Callable[[], float], count: int) -> list[float]:
    """Seconds from asking for a sound to its beginning. sound: returns at its end."""
    rng = random.Random(7)
    took = []
    for _ in range(count + 1):
        time.sleep(rng.uniform(0.5, 1.5) * PAUSE_S)
        asked_s = time.monotonic()
        sound()
        took.append(last_s() - asked_s)
    return took


def queued(player: Player, last_s: Callable[[], float], count: int) -> list[float]:
    """Seconds from an alert, through the queue, to the player."""
    queue = SoundQueue(print, print, found=Found((player,)), silenced=lambda: False)

    def sound() -> None:
        queue.play(motif_for(ALERT))
        assert queue.wait(PATIENCE_S)

    queue.start()
    assert queue.wait(PATIENCE_S)
    took = latencies(sound, last_s, count)
    queue.stop()
    return took


def started(program: StandIn, count: int) -> list[float]:
    """Seconds from starting the program directly."""
    clips = Clips()
    command = [str(program.path), str(clips.motif(motif_for(ALERT)).path)]
    took = latencies(lambda: subprocess.run(command, check=True), program.last_s, count)
    clips.close()
    return took


def main() -> None:
    """Measure all and print medians, 99th percentiles and ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    with tempfile.TemporaryDirectory() as folder:
        program = StandIn(Path(folder))
        player = SystemPlayer("player", str(program.path))
        found = {"program": queued(player, program.last_s, count)}
        found["bare program"] = started(program, count)
    if library_there():
        device = NotingDevice((sys.executable, "-P", "-m", "roastside.sound.device", "null"))
        found["device"] = queued(device, device.last_s, count)
    bare = statistics.median(found["bare program"][1:])
    for name, (first, *rest) in found.items():
        median, late = statistics.median(rest), sorted(rest)[min(int(0.99 * count), count - 1)]
        print(
            f"{name:13} {count} sounds   first {first * 1000:6.1f} ms   "
            f"median {median * 1000:6.1f} ms   99th {late * 1000:6.1f} ms   "
            f"median ratio {median / bare:5.2f}"
        )


if __name__ == "__main__":
    main()
