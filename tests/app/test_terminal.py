"""A screen whose terminal goes away ends its roast, closes the recording and leaves."""

from __future__ import annotations

import os
import pty
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from roastside.probes.virtual_line import PtyLine
from roastside.record.reader import read_roast_file

PATIENCE_S = 30.0


@pytest.mark.parametrize("how", ["terminal gone", "SIGTERM", "SIGHUP"])
def test_the_program_leaves_and_the_recording_is_whole(how: str, tmp_path: Path) -> None:
    device, terminal = pty.openpty()
    recording = tmp_path / "roast.csv"
    with PtyLine() as line:
        listen = ["-m", "roastside", "listen", "--port", line.port, "--record", str(recording)]
        child = subprocess.Popen(
            [sys.executable, *listen],
            stdin=terminal,
            stdout=terminal,
            stderr=terminal,
            env=os.environ | {"ROASTSIDE_HOME": str(tmp_path), "TERM": "xterm-256color"},
            start_new_session=True,
        )
        os.close(terminal)
        try:
            _until_rows(recording, line, device)
            if how == "terminal gone":
                os.close(device)
            else:
                child.send_signal(getattr(signal, how))
            assert child.wait(timeout=PATIENCE_S) == 0
        finally:
            child.kill()
            child.wait()
    kept = read_roast_file(recording)
    assert len(kept.rows) >= 3
    assert not kept.torn


def _until_rows(recording: Path, line: PtyLine, device: int) -> None:
    """Feed readings, and take what the screen paints, until some are in the recording."""
    deadline = time.monotonic() + PATIENCE_S
    while not recording.exists():
        assert time.monotonic() < deadline, "the recording did not begin"
        _drain(device)
    while sum(row[:1].isdigit() for row in recording.read_text().splitlines()) < 3:
        assert time.monotonic() < deadline, "no readings came into the recording"
        line.write(b"200.50,210.25\n")
        _drain(device)


def _drain(device: int) -> None:
    if select.select([device], [], [], 0.1)[0]:
        os.read(device, 1 << 16)
