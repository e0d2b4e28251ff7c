"""Readings from a real serial port: pyserial at one end of a pseudo-terminal."""

from __future__ import annotations

import socket
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from roastside.core.errors import ProbeError
from roastside.core.readings import Item, Outage, Reading
from roastside.probes.link import MID_LINE_S, SerialLink
from roastside.probes.port import Port, open_port
from roastside.probes.reopener import Reopener
from roastside.probes.serial_source import SerialSource
from roastside.probes.source import RoastClock
from roastside.probes.virtual_line import TcpLine, VirtualLine, virtual_line
from roastside.probes.wire.spec import parse_wire
from tests.probes.waiting import PATIENCE_S, read_until

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo-terminals")


class StillClock:
    """A clock that only moves when told."""

    def __init__(self) -> None:
        self.time_s = 0.0

    def now_s(self) -> float:
        return self.time_s


def source_on(port: str, wire: str = "lines") -> SerialSource:
    return SerialSource(port, parse_wire(wire), 9600, RoastClock())


def beans_c(items: list[Item]) -> list[float | None]:
    return [item.bean_c for item in items if isinstance(item, Reading)]


def open_when_free(url: str) -> Port:
    deadline = time.monotonic() + PATIENCE_S
    while True:
        try:
            return open_port(url, 9600)
        except ProbeError:
            assert time.monotonic() < deadline, f"{url} was never let go"
            time.sleep(0.01)


@pytest.fixture(params=["port", "network"])
def line(request: pytest.FixtureRequest) -> Iterator[VirtualLine]:
    with virtual_line() if request.param == "port" else TcpLine() as made:
        yield made


def test_readings_arrive(line: VirtualLine) -> None:
    source = source_on(line.port)
    source.open()
    line.write(b"203.25,228.5\n203.5,228.5\r\nnan,228.75\n")
    items = read_until(source, lambda got: len(got) == 3, "three readings")
    source.close()
    assert [(r.bean_c, r.air_c) for r in items if isinstance(r, Reading)] == [
        (203.25, 228.5),
        (203.5, 228.5),
        (None, 228.75),
    ]
    times_s = [item.time_s for item in items]
    assert times_s == sorted(times_s)
    assert source.name == line.port
    assert not source.ended


def test_a_line_may_come_in_pieces(line: VirtualLine) -> None:
    source = source_on(line.port)
    source.open()
    pieces = iter([b"20", b"3.2", b"5,228", b".5\r", b"\n", b"203.5,", b"228.5\n"])
    items = read_until(
        source, lambda got: len(got) == 2, "two readings", lambda: line.write(next(pieces, b""))
    )
    source.close()
    assert beans_c(items) == [203.25, 203.5]


def test_readings_are_stamped_with_the_time_their_bytes_came() -> None:
    clock = StillClock()
    with virtual_line() as line:
        source = SerialSource(line.port, parse_wire("lines"), 9600, clock)
        source.open()
        line.write(b"# hello\n")
        for time_s in (1.5, 2.0, 7.25):
            clock.time_s = time_s
            line.write(b"%.2f\n" % (200.0 + time_s))
            items = read_until(source, lambda got: len(got) == 1, "a reading")
            assert items == [Reading(time_s, 200.0 + time_s)]
        source.close()


def test_silence_gives_nothing_and_garbage_is_passed_over() -> None:
    with virtual_line() as line:
        source = source_on(line.port)
        source.open()
        assert list(source.read(0.0)) == []
        line.write(b"\xfe\xff 12 \x00\nWelcome 1.0\n203.4\n203.5\n")
        items = read_until(source, lambda got: len(got) == 2, "readings after garbage")
        source.close()
    assert beans_c(items) == [203.4, 203.5]
    assert (source.lines_seen, source.last_unread) == (4, "")


def test_a_flood_of_lines_is_read_to_the_last(line: VirtualLine) -> None:
    source = source_on(line.port)
    source.open()
    count = 0

    def send_more() -> None:
        nonlocal count
        if count < 2000:
            line.write(b"".join(b"%d\n" % (count + k) for k in range(200)))
            count += 200

    wide = range(2000)
    items = read_until(source, lambda got: len(got) >= len(wide), "2000 readings", send_more)
    source.close()
    assert beans_c(items) == [float(n) if n <= 500 else None for n in wide]


@posix_only
def test_an_unplugged_probe_is_an_outage_and_heals_when_it_is_back(tmp_path: Path) -> None:
    port = tmp_path / "probe"
    first, second = virtual_line(), virtual_line()
    port.symlink_to(first.port)
    source = source_on(str(port))
    source.open()
    first.write(b"203.4\n203.5\n2")
    read_until(source, lambda got: len(got) == 2, "readings before the outage")

    port.unlink()  # first, as the system may give the name it points to to another terminal
    first.unplug()
    (outage,) = read_until(source, lambda got: len(got) == 1, "the outage")
    assert isinstance(outage, Outage)
    assert outage.reason == f"the line to {port} was lost"
    assert [item for _ in range(5) for item in source.read(0.05)] == []

    port.symlink_to(second.port)
    # As a device does: it sends whether or not somebody listens already.
    items = read_until(
        source, lambda got: len(got) >= 3, "readings again", lambda: second.write(b"99.5\n")
    )
    source.close()
    second.unplug()
    assert set(beans_c(items)) == {99.5}
    assert min(item.time_s for item in items) >= outage.time_s


@posix_only
def test_a_probe_that_comes_and_goes_heals_every_time(tmp_path: Path) -> None:
    port = tmp_path / "probe"
    line = virtual_line()
    port.symlink_to(line.port)
    source = source_on(str(port))
    source.open()
    for turn in range(3):
        text = b"%d\n" % (100 + turn)
        read_until(
            source,
            lambda got, wanted=100.0 + turn: wanted in beans_c(got),
            f"reading {turn}",
            lambda here=line, data=text: here.write(data),
        )
        port.unlink()
        line.unplug()
        items = read_until(source, lambda got: isinstance(got[-1], Outage) if got else False, "end")
        assert sum(isinstance(item, Outage) for item in items) == 1
        line = virtual_line()
        port.symlink_to(line.port)
    source.close()
    line.unplug()


def test_a_line_that_comes_back_only_to_break_again_is_told_once() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.0)
        source = source_on(f"socket://127.0.0.1:{server.getsockname()[1]}")
        source.open()
        broken = 0

        def break_the_line() -> None:
            nonlocal broken
            with suppress(BlockingIOError):
                server.accept()[0].close()
                broken += 1

        items = read_until(source, lambda got: broken >= 4, "four lines to break", break_the_line)
        source.close()
    assert [type(item) for item in items] == [Outage]


def test_a_port_opened_again_just_as_nobody_wants_it_any_more_is_let_go() -> None:
    opening, go_on = threading.Event(), threading.Event()
    with virtual_line() as line:

        def open_slowly() -> Port:
            port = open_port(line.port, 9600)
            opening.set()
            assert go_on.wait(PATIENCE_S)
            return port

        reopener = Reopener(open_slowly, delay_s=0.0)
        assert opening.wait(PATIENCE_S)
        reopener.stop()
        with pytest.raises(ProbeError):  # still held by the opening under way
            open_port(line.port, 9600)
        go_on.set()
        open_when_free(line.port).close()
        assert reopener.take(0.0) is None


def test_closing_lets_go_of_the_port() -> None:
    with virtual_line() as line:
        source = source_on(line.port)
        source.open()
        source.close()
        assert list(source.read(0.0)) == []
        open_port(line.port, 9600).close()


def test_a_missing_probe_is_refused_at_opening(tmp_path: Path) -> None:
    with pytest.raises(ProbeError):
        source_on(str(tmp_path / "nothing")).open()


def test_bytes_right_after_opening_may_start_in_mid_line() -> None:
    for silence_s, expected in ((0.0, True), (MID_LINE_S, False)):
        clock = StillClock()
        with virtual_line() as line:
            link = SerialLink(line.port, monotonic=clock.now_s)
            link.open()
            clock.time_s = silence_s
            line.write(b"3.25,228.5\n")
            arrival = link.read(30.0)
            line.write(b"203.25,228.5\n")
            later = link.read(30.0)
            link.close()
        assert (arrival.begins, arrival.mid_line) == (True, expected)
        assert (later.begins, later.mid_line) == (False, False)
