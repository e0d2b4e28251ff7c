"""From the byte on the line to the event out, and to the changed screen.

    python benchmarks/latency.py [READINGS]

A reading is written to a pseudo-terminal; the clock stops when its event has come out of
`roastside listen --events`, or when the terminal of `roastside listen` has been painted again.
The baseline, measured in the same run, is a bare loop of pyserial's readline and print.
"""

from __future__ import annotations

import fcntl
import os
import pty
import random
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

from roastside.probes.virtual_line import PtyLine

BARE_LOOP = """
import sys, serial
port = serial.serial_for_url(sys.argv[1], 9600)
while True:
    print(port.readline(), flush=True)
"""

PAUSE_S = 0.12
"""Readings come about eight a second, at irregular moments."""

WARM_UP = 30
PATIENCE_S = 2.0


def percentile(values: list[float], share: float) -> float:
    """The value below which `share` of all lie."""
    return sorted(values)[min(int(share * len(values)), len(values) - 1)]


def piped(
    command: list[str], line: PtyLine, count: int, environment: dict[str, str]
) -> list[float]:
    """Seconds from writing a reading to its value coming out of the process's stdout."""
    child = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, env=environment
    )
    assert child.stdout is not None
    try:
        took = _measure(line, count, child.stdout.fileno(), by_value=True)
    finally:
        child.terminate()
        child.communicate()
    return took


def painted(line: PtyLine, count: int, environment: dict[str, str]) -> list[float]:
    """Seconds from writing a reading to new bytes on the app's terminal.

    Without a charge no clock runs on the screen, so only a reading makes it paint.
    """
    device, terminal = pty.openpty()
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    child = subprocess.Popen(
        [sys.executable, "-m", "roastside", "listen", "--port", line.port],
        stdin=terminal,
        stdout=terminal,
        stderr=terminal,
        env=environment,
        start_new_session=True,
    )
    try:
        took = _measure(line, count, device, by_value=False)
    finally:
        child.terminate()
        child.wait()
    os.close(device)
    os.close(terminal)
    return took


def _measure(line: PtyLine, count: int, answers: int, by_value: bool) -> list[float]:
    rng = random.Random(7)
    took = []
    for n in range(WARM_UP + count):
        time.sleep(rng.uniform(0.5, 1.5) * PAUSE_S)
        _drain(answers)
        value = f"{185 + n % 40 * 0.25:.2f}"
        begin = time.perf_counter()
        line.write(f"{value},210.00\n".encode())
        answered = _wait_for(answers, value.rstrip("0").rstrip(".") if by_value else "")
        if answered and n >= WARM_UP:
            took.append(time.perf_counter() - begin)
    return took


def _drain(answers: int) -> None:
    while select.select([answers], [], [], 0.0)[0]:
        os.read(answers, 1 << 16)


def _wait_for(answers: int, value: str) -> bool:
    """Wait until new bytes, bearing the value if one is given, have come."""
    seen = b""
    while select.select([answers], [], [], PATIENCE_S)[0]:
        seen += os.read(answers, 1 << 16)
        if value.encode() in seen:
            return True
    return False


def main() -> None:
    """Measure all three and print medians, 99th percentiles and ratios."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "cautions-read").touch()
        environment = os.environ | {
            "ROASTSIDE_HOME": folder, "TERM": "xterm-256color", "COLORTERM": "truecolor",
        }  # fmt: skip
        with PtyLine() as line:
            bare = piped([sys.executable, "-c", BARE_LOOP, line.port], line, count, environment)
        with PtyLine() as line:
            listen = [sys.executable, "-m", "roastside", "listen", "--events", "--port", line.port]
            events = piped(listen, line, count, environment)
        with PtyLine() as line:
            screen = painted(line, count, environment)
    for name, values in (("bare pyserial loop", bare), ("event out", events), ("screen", screen)):
        median, late = statistics.median(values), percentile(values, 0.99)
        print(
            f"{name:20} {len(values)} readings   median {median * 1000:7.2f} ms   "
            f"99th {late * 1000:7.2f} ms   median ratio {median / statistics.median(bare):6.1f}"
        )


if __name__ == "__main__":
    main()
