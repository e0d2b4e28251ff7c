"""Time from `roastside` to its first painted frame, as a ratio to importing textual.app.

    python benchmarks/startup.py [ROUNDS]

Both are whole processes, run in turn. roastside runs on a pseudo-terminal of 80 by 24; its first
frame is there when the screen's own words have come out. The baseline is the time
`python -c "import textual.app"` takes to the end.
"""

from __future__ import annotations

import fcntl
import os
import pty
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from pathlib import Path

FRAME = b"Today"


def first_frame_s(home: Path) -> float:
    """Start roastside on a terminal of its own and wait for its first frame."""
    device, terminal = pty.openpty()
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
    environment = os.environ | {
        "ROASTSIDE_HOME": str(home),
        "TERM": "xterm-256color",
        "COLORTERM": "truecolor",
    }
    begin = time.perf_counter()
    child = subprocess.Popen(
        [sys.executable, "-m", "roastside"],
        stdin=terminal,
        stdout=terminal,
        stderr=terminal,
        env=environment,
        start_new_session=True,
    )
    seen = b""
    while FRAME not in seen:
        seen += os.read(device, 65536)
    took = time.perf_counter() - begin
    child.kill()
    child.wait()
    os.close(terminal)
    os.close(device)
    return took


def import_s() -> float:
    """How long the baseline takes."""
    begin = time.perf_counter()
    subprocess.run([sys.executable, "-c", "import textual.app"], check=True)
    return time.perf_counter() - begin


def main() -> None:
    """Measure in turn and print both medians and their ratio."""
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / "cautions-read").touch()
        first_frame_s(Path(folder))
        import_s()
        pairs = [(first_frame_s(Path(folder)), import_s()) for _ in range(rounds)]
    ours = statistics.median(pair[0] for pair in pairs)
    base = statistics.median(pair[1] for pair in pairs)
    ratio = statistics.median(pair[0] / pair[1] for pair in pairs)
    print(f"first painted frame   {ours * 1000:7.0f} ms (median of {rounds})")
    print(f"import textual.app    {base * 1000:7.0f} ms")
    print(f"ratio                 {ratio:7.2f}    target <= 2.0")


if __name__ == "__main__":
    main()
