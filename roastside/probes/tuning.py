"""A port whose speed and parity are changed while it is open."""

from __future__ import annotations

from contextlib import suppress
from typing import Protocol, cast

from roastside.probes.port import LINE_TROUBLES, Port, open_port

MOST_BYTES = 16384
"""One arrival gives no more."""


class TunablePort(Port, Protocol):
    """What more of a pyserial port is used to find out how a device speaks."""

    baudrate: int
    parity: str

    def reset_input_buffer(self) -> None: ...


def open_tunable(url: str, baud: int) -> TunablePort:
    """See open_port."""
    return cast(TunablePort, open_port(url, baud))


def tune(port: TunablePort, baud: int, parity: str = "N") -> bool:
    """Set speed and parity without closing: opening anew would restart many boards.

    False if this adapter cannot do it. What had come before is discarded.
    """
    if (port.baudrate, port.parity) == (baud, parity):
        return True
    # A line that is gone shows at the next read.
    with suppress(ValueError, *LINE_TROUBLES):
        port.baudrate = baud
        port.parity = parity
        port.reset_input_buffer()
        return True
    return False


def take(port: Port) -> bytes:
    """What has come; waits a moment for the first byte. Raises one of LINE_TROUBLES if lost."""
    data = port.read(1)
    while data and len(data) < MOST_BYTES and (waiting := port.in_waiting):
        data += port.read(waiting)
    return data
