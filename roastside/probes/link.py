"""A serial line that heals: read what comes, and come back when the device does."""

from __future__ import annotations

import time
from collections.abc import Callable
from contextlib import suppress
from functools import partial
from typing import NamedTuple

from roastside.core.readings import LINE_LOST
from roastside.core.text import clean
from roastside.probes.port import LINE_TROUBLES, Port, open_port
from roastside.probes.reopener import LONGEST_DELAY_S, Reopener

FIRST_DELAY_S = 0.1

MID_LINE_S = 2.0
"""Bytes that come sooner after the opening may belong to a line begun before it.

Long, as a device may pause in mid-line until its next probe is measured: a DS18B20 takes 0.75 s
(its data sheet, "Electrical Characteristics").
"""

LARGEST_READ = 4096


class Arrival(NamedTuple):
    """What one read of the link gave."""

    data: bytes = b""
    begins: bool = False
    """These are the first bytes since the line was opened or came back."""
    mid_line: bool = False
    """The first bytes came so soon that they may start in the middle of a line."""
    lost: str = ""
    """Why the line was lost, a phrase for people; said once until bytes have come again."""


class SerialLink:
    """Bytes from any pyserial URL. Used from one thread.

    Only the first opening can fail; later the link is silent until the device is back.
    It only listens, unless someone has a question to `send`.
    """

    def __init__(
        self,
        url: str,
        baud: int = 9600,
        monotonic: Callable[[], float] = time.monotonic,
        *,
        parity: str = "N",
        stop_bits: int = 1,
    ) -> None:
        self.url = url
        self._open_port = partial(open_port, url, baud, parity, stop_bits)
        self._monotonic = monotonic
        self._port: Port | None = None
        self._reopener: Reopener | None = None
        self._delay_s = FIRST_DELAY_S
        self._opened_at_s = 0.0
        self._begins = True
        self._loss_told = False

    def open(self) -> None:
        """Open for the first time. Raises ProbeError with a sentence for people."""
        self._use(self._open_port())

    def close(self) -> None:
        """Let go of the port; also stops healing."""
        if self._reopener is not None:
            self._reopener.stop()
            self._reopener = None
        if self._port is not None:
            with suppress(*LINE_TROUBLES):
                self._port.close()
            self._port = None

    def read(self, timeout_s: float) -> Arrival:
        """Wait up to `timeout_s` for the first byte (or the device), then take all there is."""
        if self._port is None and not self._came_back(timeout_s):
            return Arrival()
        assert self._port is not None
        data, alive = _take(self._port, timeout_s)
        begins = mid_line = False
        if data:
            begins, self._begins = self._begins, False
            mid_line = begins and self._monotonic() - self._opened_at_s < MID_LINE_S
            self._delay_s = FIRST_DELAY_S
            self._loss_told = False
        return Arrival(data, begins, mid_line, "" if alive else self._lose())

    @property
    def is_open(self) -> bool:
        """False while the device is away."""
        return self._port is not None

    def send(self, data: bytes) -> None:
        """Send to the device. What can not be sent is lost; a broken line shows at `read`."""
        if self._port is not None:
            with suppress(*LINE_TROUBLES):
                self._port.write(data)

    def _use(self, port: Port) -> None:
        self._port = port
        self._begins = True
        self._opened_at_s = self._monotonic()

    def _came_back(self, timeout_s: float) -> bool:
        if self._reopener is None:
            return False
        port = self._reopener.take(timeout_s)
        if port is None:
            return False
        self._reopener = None
        self._use(port)
        return True

    def _lose(self) -> str:
        self.close()
        self._reopener = Reopener(self._open_port, self._delay_s)
        # Stays doubled until bytes come: a port that opens and dies at once is no cure.
        self._delay_s = min(2.0 * self._delay_s, LONGEST_DELAY_S)
        told, self._loss_told = self._loss_told, True
        return "" if told else f"{LINE_LOST}{clean(self.url)} was lost"


def _take(port: Port, timeout_s: float) -> tuple[bytes, bool]:
    """Bytes, and whether the line is still alive."""
    data = b""
    deadline_s = time.monotonic() + timeout_s
    try:
        while not data:
            data = port.read(1)
            if not data and time.monotonic() >= deadline_s:
                return b"", True
        while len(data) < LARGEST_READ and (waiting := port.in_waiting):
            data += port.read(min(waiting, LARGEST_READ))
    except LINE_TROUBLES:
        return data, False
    return data, True
