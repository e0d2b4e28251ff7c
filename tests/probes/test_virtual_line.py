"""The line without a device."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from roastside.core.errors import ProbeError
from roastside.probes.port import LINE_TROUBLES, open_port
from roastside.probes.virtual_line import TcpLine, VirtualLine, virtual_line


@pytest.fixture(params=["port", "network"])
def line(request: pytest.FixtureRequest) -> Iterator[VirtualLine]:
    with virtual_line() if request.param == "port" else TcpLine() as made:
        yield made


def test_every_byte_arrives_unchanged(line: VirtualLine) -> None:
    port = open_port(line.port, 9600)
    every = bytes(range(256))
    line.write(every)
    received = b""
    for _ in range(600):
        received += port.read(256 - len(received))
        if len(received) == 256:
            break
    port.close()
    assert received == every


def test_writing_with_nobody_listening_does_no_harm(line: VirtualLine) -> None:
    line.write(b"203.4\n")
    line.unplug()
    line.write(b"203.4\n")
    line.unplug()


def test_an_unplugged_line_breaks_for_the_listener_and_cannot_be_opened_again(
    line: VirtualLine,
) -> None:
    port = open_port(line.port, 9600)
    line.write(b"x")
    assert port.read(1) == b"x"
    line.unplug()
    with pytest.raises(LINE_TROUBLES):
        for _ in range(600):
            port.read(1)
    port.close()
    with pytest.raises(ProbeError):
        open_port(line.port, 9600)
