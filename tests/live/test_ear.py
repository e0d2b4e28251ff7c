"""Listening in the background: finds, then reads on; ends when told, and says why it cannot."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator

import pytest

from roastside.live.ear import KEPT_LINES, Ear, Heard
from roastside.live.line import Line
from roastside.probes.finding import Outcome
from roastside.probes.port import open_port
from roastside.probes.virtual_line import VirtualLine, virtual_line
from tests.live.running import posix_only
from tests.probes.test_finder import sending, thermometer
from tests.probes.waiting import PATIENCE_S

if sys.platform != "win32":
    from tests.probes.modbus_line import Device, ModbusLine


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


def until(ear: Ear, holds: Callable[[Heard], object], what: str) -> Heard:
    deadline = time.monotonic() + PATIENCE_S
    while not holds(heard := ear.heard):
        assert time.monotonic() < deadline, f"{what} did not come; {heard}"
        time.sleep(0.01)
    return heard


def test_what_is_found_is_read_on_with_its_quality(line: VirtualLine) -> None:
    with sending(line, thermometer):
        ear = Ear.finding(line.port)
        heard = until(ear, lambda heard: heard.readings > KEPT_LINES, "readings")
        assert heard.finding is not None
        assert heard.finding.outcome is Outcome.READINGS
        assert heard.words == f"reading {line.port}"
        assert len(heard.lines) == KEPT_LINES
        assert {line.reading.bean_c for line in heard.lines if line.reading} == {24.0, 24.25}
        until(ear, lambda h: h.quality is not None and h.quality.interval_s is not None, "quality")
        ear.stop()
        assert ear.wait(PATIENCE_S)
    assert ear.heard.over
    open_port(line.port, 9600).close()  # it was let go


def test_a_line_is_read_as_it_is_said_to_be_read(line: VirtualLine) -> None:
    with sending(line, lambda _: b"75.2,212\r\n"):
        ear = Ear.listening(Line(line.port, 9600, "lines:bean=2,air=1,unit=F"))
        heard = until(ear, lambda heard: any(line.reading for line in heard.lines), "a reading")
        ear.stop()
        ear.wait(PATIENCE_S)
    reading = next(line.reading for line in heard.lines if line.reading)
    # The freezing and boiling points and the scale between them: °C = (°F - 32) x 5/9.
    assert (reading.bean_c, reading.air_c) == (100.0, 24.0)
    assert heard.lines[0].data == b"75.2,212\r\n"


def test_the_next_ear_waits_until_the_port_is_let_go(line: VirtualLine) -> None:
    with sending(line, thermometer):
        first = Ear.finding(line.port)
        until(first, lambda heard: heard.readings, "readings")
        first.stop()
        second = Ear.listening(Line(line.port, 9600, "lines"), after=first)
        until(second, lambda heard: heard.readings, "readings of the second")
        second.stop()
        assert second.wait(PATIENCE_S)


@pytest.mark.parametrize(
    ("wire", "says"), [("morse", "morse"), ("lines", "There is no port"), ("modbus:bean=x", "bean")]
)
@posix_only
def test_what_stands_in_the_way_is_said(wire: str, says: str) -> None:
    ear = Ear.listening(Line("/dev/no-such-port", 9600, wire))
    assert ear.wait(PATIENCE_S)
    assert says in ear.heard.words
    assert ear.heard.over


@posix_only
def test_a_port_without_readings_is_a_finding_and_the_end(line: VirtualLine) -> None:
    ear = Ear.finding(line.port, listen_s=0.02)
    assert ear.wait(PATIENCE_S)
    assert ear.heard.finding is not None
    assert ear.heard.finding.outcome is Outcome.SILENCE
    assert ear.heard.words == ear.heard.finding.sentence


@posix_only
def test_a_line_that_is_lost_is_said_and_waited_for(line: VirtualLine) -> None:
    with sending(line, thermometer):
        ear = Ear.listening(Line(line.port, 9600, "lines"))
        until(ear, lambda heard: heard.readings, "readings")
        line.unplug()
        heard = until(ear, lambda heard: "lost" in heard.words, "the loss")
        assert not heard.over
        ear.stop()
        assert ear.wait(PATIENCE_S)


@posix_only
def test_a_device_that_is_asked_is_read_too() -> None:
    with ModbusLine(Device({0: 235, 1: 241})) as line:
        ear = Ear.listening(Line(line.port, 9600, "modbus:bean=0,air=1,scale=0.1,every=100"))
        heard = until(ear, lambda heard: heard.readings > 1, "readings")
        ear.stop()
        assert ear.wait(PATIENCE_S)
    assert [line.reading.bean_c for line in heard.lines if line.reading] == [23.5, 23.5]
