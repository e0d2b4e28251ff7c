"""Finding out how to read a real serial line: pyserial on one end of a pseudo-terminal.

Speeds do not matter on a pseudo-terminal, so what comes at a wrong one is sent as noise.
"""

from __future__ import annotations

import random
import subprocess
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import count
from pathlib import Path

import pytest

from roastside.probes.finder import USUAL_SPEEDS, Finder, Step, speeds_of
from roastside.probes.finding import Finding, Outcome
from roastside.probes.holders import other_holders
from roastside.probes.port import open_port
from roastside.probes.proposal import Proposal
from roastside.probes.virtual_line import TcpLine, VirtualLine, virtual_line
from tests.probes.waiting import PATIENCE_S

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo-terminals")

LONG_S = 5.0
"""Longer than is ever needed where something comes."""

SHORT_S = 0.02
"""For lines on which nothing comes."""


@contextmanager
def sending(line: VirtualLine, piece: Callable[[int], bytes]) -> Iterator[None]:
    """A device that sends piece 0, 1, 2 ... fifty times a second."""
    over = threading.Event()

    def send() -> None:
        for number in count():
            if over.wait(0.02):
                return
            line.write(piece(number))

    device = threading.Thread(target=send)
    device.start()
    try:
        yield
    finally:
        over.set()
        device.join(PATIENCE_S)


def thermometer(number: int) -> bytes:
    return b"%.2f,23.5\r\n" % (24.0 + number % 2 / 4)


@pytest.fixture(params=["port", "network"])
def line(request: pytest.FixtureRequest) -> Iterator[VirtualLine]:
    with virtual_line() if request.param == "port" else TcpLine() as made:
        yield made


def test_a_thermometer_is_found(line: VirtualLine) -> None:
    with sending(line, thermometer):
        found = Finder(line.port, LONG_S).find()
    assert (found.outcome, found.port) == (Outcome.READINGS, line.port)
    baud = None if "://" in line.port else USUAL_SPEEDS[0]
    assert found.proposal == Proposal(line.port, baud, "lines", "lines:bean=2,air=1")
    assert {line.reading.bean_c for line in found.lines if line.reading} == {24.0, 24.25}


@posix_only
def test_noise_leads_on_to_the_next_speed_until_it_reads() -> None:
    noise = random.Random(26)
    asked: list[str] = []
    with virtual_line() as line:

        def piece(number: int) -> bytes:
            at_its_speed = "speed 3 of" in asked[-1] if asked else False
            return thermometer(number) if at_its_speed else noise.randbytes(40)

        with sending(line, piece):
            found = Finder(line.port, LONG_S, tell=lambda step: asked.append(step.words)).find()
    assert found.proposal is not None
    assert found.proposal.baud == USUAL_SPEEDS[2]


@posix_only
def test_noise_at_every_speed_ends_with_its_sentence() -> None:
    noise = random.Random(26)
    with virtual_line() as line, sending(line, lambda _: noise.randbytes(80)):
        found = Finder(line.port, LONG_S).find()
    assert found.outcome is Outcome.NOISE
    assert found.data


@posix_only
def test_a_board_that_greets_in_noise_is_heard_again() -> None:
    noise = random.Random(26)
    awake = threading.Event()

    def watch(step: Step) -> None:
        if f"speed {len(USUAL_SPEEDS)} of" in step.words:
            awake.set()

    with (
        virtual_line() as line,
        sending(line, lambda n: thermometer(n) if awake.is_set() else noise.randbytes(80)),
    ):
        found = Finder(line.port, LONG_S, tell=watch).find()
    assert found.found


def test_silence_is_told(line: VirtualLine) -> None:
    line.write(b"")
    found = Finder(line.port, SHORT_S).find()
    assert (found.outcome, found.data) == (Outcome.SILENCE, b"")


def test_what_is_being_done_is_told_with_what_came(line: VirtualLine) -> None:
    told: list[Step] = []
    with sending(line, thermometer):
        Finder(line.port, LONG_S, tell=told.append).find()
    assert told[0].words == f"listening at 9600 baud, speed 1 of {len(speeds_of(line.port))}"
    assert any(step.lines for step in told)
    assert b"23.5" in told[-1].data


def test_a_search_that_is_stopped_ends_and_lets_the_port_go(line: VirtualLine) -> None:
    stopped = threading.Event()
    found: list[Finding] = []
    finder = Finder(line.port, 600.0, tell=lambda _: stopped.set(), stopped=stopped.is_set)
    search = threading.Thread(target=lambda: found.append(finder.find()))
    search.start()
    search.join(PATIENCE_S)
    assert [each.outcome for each in found] == [Outcome.SILENCE]
    open_port(line.port, 9600).close()


@posix_only
def test_a_port_that_cannot_be_opened_is_a_finding_with_the_reason() -> None:
    missing = Finder("/dev/no-such-port").find()
    assert (missing.outcome, missing.found) == (Outcome.REFUSED, False)
    assert missing.sentence.startswith("There is no port /dev/no-such-port;")
    with virtual_line() as line:
        holder = open_port(line.port, 9600)
        held = Finder(line.port).find()
        holder.close()
    assert "held by another program" in held.sentence


def test_a_line_that_is_lost_while_listening_is_told(line: VirtualLine) -> None:
    line.write(b"")
    begun = threading.Event()

    def unplug() -> None:
        begun.wait(PATIENCE_S)
        line.unplug()

    pulling = threading.Thread(target=unplug)
    pulling.start()
    with sending(line, lambda _: b"hello\n"):
        found = Finder(line.port, LONG_S, tell=lambda _: begun.set()).find()
    pulling.join(PATIENCE_S)
    assert found.outcome is Outcome.REFUSED
    assert "was lost while listening" in found.sentence


@posix_only
@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="needs /proc")
def test_another_program_that_has_the_port_open_is_named() -> None:
    holding = "import sys; port = open(sys.argv[1]); print('open', flush=True); sys.stdin.read()"
    with virtual_line() as line:
        assert other_holders(line.port) == []  # this very program does not count
        with subprocess.Popen(
            [sys.executable, "-c", holding, line.port],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
        ) as other:
            assert other.stdout is not None
            other.stdout.readline()
            (named,) = other_holders(line.port)
            silent = Finder(line.port, SHORT_S).find()
            other.communicate()
        assert other_holders(line.port) == []
    assert f"(process {other.pid})" in named
    assert named in silent.sentence


def test_only_what_is_a_device_has_holders() -> None:
    assert other_holders("socket://127.0.0.1:1") == []
    assert other_holders(__file__) == []
