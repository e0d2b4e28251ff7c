"""A serial line without a device, for the demo and the tests: this end writes, a port listens."""

from __future__ import annotations

import os
import select
import socket
import sys
from contextlib import suppress
from types import TracebackType
from typing import Protocol, Self

WRITE_PATIENCE_S = 1.0
"""A listener that takes nothing for so long loses the rest, as on a real line."""


class VirtualLine(Protocol):
    """The device's end of a line. `port` is what a listener opens."""

    port: str

    def write(self, data: bytes) -> None:
        """Send. With nobody listening the bytes are lost."""

    def unplug(self) -> None:
        """The device is gone, for good; the listener sees its line break. May be repeated."""

    def __enter__(self) -> Self: ...

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None: ...


def virtual_line() -> VirtualLine:
    """A pseudo-terminal where there are such, else a loopback network line."""
    if sys.platform == "win32":
        return TcpLine()
    return PtyLine()


class _Line:
    def unplug(self) -> None:
        raise NotImplementedError

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.unplug()


if sys.platform != "win32":
    import tty

    class PtyLine(_Line):
        """A pair of pseudo-terminals: to a listener, a serial port like any other."""

        def __init__(self) -> None:
            self._device, self._listener = os.openpty()
            tty.setraw(self._listener)
            os.set_blocking(self._device, False)
            self.port = os.ttyname(self._listener)

        def write(self, data: bytes) -> None:
            """See VirtualLine.write."""
            while data and self._plugged:
                _, ready, _ = select.select([], [self._device], [], WRITE_PATIENCE_S)
                if not ready:
                    return
                with suppress(BlockingIOError):
                    data = data[os.write(self._device, data) :]

        @property
        def _plugged(self) -> bool:
            return self._device >= 0

        def unplug(self) -> None:
            """See VirtualLine.unplug."""
            if self._plugged:
                os.close(self._device)
                os.close(self._listener)
                self._device = self._listener = -1


class TcpLine(_Line):
    """A loopback network line with one listener at a time, the latest."""

    def __init__(self) -> None:
        self._server = socket.create_server(("127.0.0.1", 0))
        self._server.setblocking(False)
        self._listener: socket.socket | None = None
        self.port = f"socket://127.0.0.1:{self._server.getsockname()[1]}"

    def write(self, data: bytes) -> None:
        """See VirtualLine.write."""
        self._welcome()
        if self._listener is not None:
            try:
                self._listener.sendall(data)
            except OSError:  # the listener went away, or takes nothing
                self._hang_up()

    def unplug(self) -> None:
        """See VirtualLine.unplug."""
        self._hang_up()
        self._server.close()

    def _welcome(self) -> None:
        with suppress(OSError):
            while True:
                listener, _ = self._server.accept()
                self._hang_up()
                listener.settimeout(WRITE_PATIENCE_S)
                listener.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
                self._listener = listener

    def _hang_up(self) -> None:
        if self._listener is not None:
            self._listener.close()
            self._listener = None
