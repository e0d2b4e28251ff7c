"""Readings lost, and how soon the first comes back, when an adapter is unplugged again and again.

    python benchmarks/unplug.py [CYCLES]

A device on a pseudo-terminal sends ten readings a second for about a second, is unplugged for half
a second, and comes back as another device under the same name. The baseline, in the same run, is
the fewest that any listener must lose: what was sent before its port was open again.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import threading
import time
from pathlib import Path

from roastside.core.readings import Outage, Reading
from roastside.probes.opening import device_source
from roastside.probes.source import RoastClock
from roastside.probes.virtual_line import PtyLine

PER_CYCLE = 12
INTERVAL_S = 0.1
AWAY_S = 0.5


class Listener:
    """Reads a port in a thread and notes what comes when."""

    def __init__(self, port: str) -> None:
        self.came: dict[float, float] = {}
        self.outages = 0
        self._source = device_source(port, "lines", 9600, RoastClock())
        self._source.open()
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._listen)
        self._thread.start()

    def _listen(self) -> None:
        while not self._over.is_set():
            for item in self._source.read(0.1):
                if isinstance(item, Reading) and item.bean_c is not None:
                    self.came.setdefault(item.bean_c, time.monotonic())
                self.outages += isinstance(item, Outage)
        self._source.close()

    def end(self) -> None:
        """Stop listening."""
        self._over.set()
        self._thread.join()


def main() -> None:
    """Run the cycles and print what was lost."""
    cycles = int(sys.argv[1]) if len(sys.argv) > 1 else 50
    sent: list[list[float]] = []
    back: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        name = Path(folder) / "adapter"
        line = PtyLine()
        name.symlink_to(line.port)
        listener = Listener(str(name))
        value = 50.0
        for cycle in range(cycles + 1):
            if cycle:
                line = PtyLine()
                name.symlink_to(line.port)
            plugged_at = time.monotonic()
            sent.append([])
            for _ in range(PER_CYCLE):
                value = round(value + 0.1, 1)
                sent[-1].append(value)
                line.write(f"{value},{value}\n".encode())
                time.sleep(INTERVAL_S)
            came = [listener.came[v] for v in sent[-1] if v in listener.came]
            if cycle and came:
                back.append(min(came) - plugged_at)
            name.unlink()
            line.unplug()
            time.sleep(AWAY_S)
        listener.end()
    lost = [[v for v in values if v not in listener.came] for values in sent]
    unavoidable = 0
    for values, gone in zip(sent, lost, strict=True):
        first = next((n for n, v in enumerate(values) if v in listener.came), len(values))
        unavoidable += min(first, len(gone))
    total, count = sum(map(len, sent)), sum(map(len, lost))
    print(f"unplugged {cycles} times, noticed {listener.outages} times")
    print(f"readings sent {total}, lost {count}, of them before the port was open {unavoidable}")
    print(f"lost while the port was open: {count - unavoidable}")
    slow = sorted(back)[int(0.99 * (len(back) - 1))]
    print(
        f"first reading after plugging in: median {statistics.median(back):.2f} s, "
        f"99th percentile {slow:.2f} s"
    )


if __name__ == "__main__":
    main()
