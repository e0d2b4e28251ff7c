"""Whoever reads the events may be slow, stop, or go away; the roast and its recording do not."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pytest

from roastside.core.events import Gap
from roastside.core.readings import Reading
from roastside.live import stream
from roastside.live.stream import EventWriter
from roastside.probes.virtual_line import VirtualLine, virtual_line
from roastside.record.reader import read_roast_file
from tests.live.running import (
    AS_MODULE,
    PATIENCE_S,
    WAKING_C,
    Done,
    beans_c,
    environment,
    parse,
    posix_only,
    send,
)

pytestmark = posix_only

BEANS = [150.0 + 0.25 * (count % 100) for count in range(1500)]
"""Their events are several times what a pipe holds."""

PIECE = 100


class Unread:
    """A roast that is listened to and recorded, whose events nobody has read yet."""

    def __init__(self, line: VirtualLine, home: Path) -> None:
        self._line = line
        self._file = home / "batch.csv"
        command = ("listen", "--port", line.port, "--record", self._file, "--events")
        self.process = subprocess.Popen(
            [sys.executable, *AS_MODULE, *map(str, command)],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env=environment(home),
        )

    def recorded_c(self) -> list[float | None]:
        if not self._file.exists() or not self._file.stat().st_size:
            return []
        items = read_roast_file(self._file).items()
        return [item.bean_c for item in items if isinstance(item, Reading)]

    def wake(self) -> None:
        """Send until something is recorded."""
        self._wait(self.recorded_c, lambda: self._line.write(f"{WAKING_C},{WAKING_C}\n".encode()))

    def send(self, beans: list[float]) -> None:
        """Send readings in pieces that the line holds, and wait until they are recorded."""
        for start in range(0, len(beans), PIECE):
            send(self._line, beans[start : start + PIECE])
            # The pieces are alike, so it is their number that tells.
            self._wait(partial(self._holds, min(start + PIECE, len(beans))))

    def _holds(self, readings: int) -> bool:
        return len([c for c in self.recorded_c() if c != WAKING_C]) >= readings

    def end(self) -> Done:
        self.process.send_signal(signal.SIGTERM)
        out, err = self.process.communicate(timeout=PATIENCE_S)
        return Done(self.process.returncode, (out or b"").decode(), err.decode())

    def _wait(
        self, enough: Callable[[], object], meanwhile: Callable[[], None] = lambda: None
    ) -> None:
        deadline = time.monotonic() + PATIENCE_S
        while not enough():
            assert time.monotonic() < deadline, f"readings were lost; last {self.recorded_c()[-5:]}"
            meanwhile()
            time.sleep(0.02)


@pytest.fixture
def unread(tmp_path: Path) -> Iterator[Unread]:
    with virtual_line() as line:
        roast = Unread(line, tmp_path)
        try:
            roast.wake()
            yield roast
        finally:
            roast.process.kill()
            roast.process.wait()
            for end in (roast.process.stdout, roast.process.stderr):
                assert end is not None
                end.close()


def test_events_that_nobody_reads_for_a_while_hold_up_no_recording(unread: Unread) -> None:
    unread.send(BEANS)
    done = unread.end()
    assert (done.code, done.err) == (0, "")
    assert [c for c in beans_c(done.events) if c != WAKING_C] == BEANS
    assert done.events[-1]["event"] == "summary"


def test_a_recording_goes_on_when_the_reader_of_its_events_has_gone(unread: Unread) -> None:
    assert unread.process.stdout is not None
    unread.process.stdout.close()
    unread.send(BEANS[:300])
    unread.process.send_signal(signal.SIGTERM)
    assert unread.process.stderr is not None
    told = unread.process.stderr.read().decode()
    assert unread.process.wait(PATIENCE_S) == 0
    assert "the recording goes on" in Done(0, "", told).sentence


class Pipe:
    """Where events are written into, and read out of."""

    def __init__(self) -> None:
        self.out, self.into = os.pipe()

    def read_all(self) -> str:
        """All that comes until the other end is closed."""
        pieces = []
        while piece := os.read(self.out, 1_000_000):
            pieces.append(piece)
        return b"".join(pieces).decode()

    def close_out(self) -> None:
        if self.out >= 0:
            os.close(self.out)
            self.out = -1

    def close_into(self) -> None:
        if self.into >= 0:
            os.close(self.into)
            self.into = -1


@pytest.fixture
def pipe() -> Iterator[Pipe]:
    made = Pipe()
    yield made
    made.close_out()
    made.close_into()


def gaps(count: int) -> list[Gap]:
    return [Gap(float(k), None, k - 1.0, float(k), "no readings came") for k in range(count)]


@pytest.mark.parametrize("blocking", [True, False], ids=["blocking pipe", "non-blocking pipe"])
def test_what_a_slow_reader_has_not_taken_waits_in_order(blocking: bool, pipe: Pipe) -> None:
    os.set_blocking(pipe.into, blocking)
    writer = EventWriter(pipe.into)
    for gap in gaps(3000):
        writer([gap])
    read: list[str] = []
    reader = threading.Thread(target=lambda: read.append(pipe.read_all()))
    reader.start()
    writer.close(hurried=lambda: False)
    pipe.close_into()
    reader.join(PATIENCE_S)
    assert [event["time_s"] for event in parse(read[0])] == [gap.time_s for gap in gaps(3000)]


def test_each_line_is_there_at_once(pipe: Pipe) -> None:
    writer = EventWriter(pipe.into)
    for gap in gaps(3):
        writer([gap])
        assert parse(os.read(pipe.out, 1000).decode())[0]["time_s"] == gap.time_s
    writer.close(hurried=lambda: False)


def test_a_reader_who_has_gone_is_noted_and_nothing_is_raised(pipe: Pipe) -> None:
    pipe.close_out()
    writer = EventWriter(pipe.into)
    writer(gaps(1))
    writer.close(hurried=lambda: False)
    assert isinstance(writer.error, BrokenPipeError)
    writer(gaps(1))


def test_in_a_hurry_a_reader_who_has_stopped_is_not_waited_for(
    pipe: Pipe, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(stream, "PATIENCE_S", 0.0)
    writer = EventWriter(pipe.into)
    writer(gaps(3000))
    writer.close(hurried=lambda: True)
    assert writer.error is None
    pipe.close_out()  # lets the writer's thread go
