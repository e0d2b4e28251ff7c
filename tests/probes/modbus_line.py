"""A Modbus device for tests: pymodbus's own RTU server on one end of a real serial line."""

from __future__ import annotations

import asyncio
import os
import select
import sys
import threading
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from types import TracebackType
from typing import Any, Self

import pytest
from pymodbus.constants import ExcCodes
from pymodbus.framer import FramerType
from pymodbus.server import ModbusSerialServer, ModbusTcpServer
from pymodbus.simulator import DataType, SimData, SimDevice

from tests.probes.waiting import PATIENCE_S

Registers = Mapping[int, int]
"""Register -> its 16 bits without sign."""


class Device:
    """Registers that can be changed while they are asked for; functions 3 and 4 see the same.

    refusal: answer every question with this exception.
    """

    def __init__(self, registers: Registers, unit: int = 1) -> None:
        self.registers = dict(registers)
        self.unit = unit
        self.refusal: ExcCodes | None = None

    def simulated(self) -> SimDevice:
        """Itself as the server wants it."""
        cells = [
            SimData(address, values=0, datatype=DataType.REGISTERS)
            for address in sorted(self.registers)
        ]
        return SimDevice(self.unit, simdata=cells, action=self._fill)

    async def _fill(
        self, _function: int, start: int, address: int, count: int, cells: list[int], _written: Any
    ) -> ExcCodes | None:
        for register in range(address, address + count):
            cells[register - start] = self.registers[register]
        return self.refusal


class Server:
    """pymodbus's server in a thread of its own."""

    def __init__(self, device: Device, make: Callable[[Any], Any]) -> None:
        self._ready: Future[Any] = Future()
        self._loop = asyncio.new_event_loop()
        self._thread = threading.Thread(target=self._run, args=(device, make))
        self._thread.start()
        self.server = self._ready.result(PATIENCE_S)

    def _run(self, device: Device, make: Callable[[Any], Any]) -> None:
        self._loop.run_until_complete(self._serve(device, make))
        self._loop.close()

    async def _serve(self, device: Device, make: Callable[[Any], Any]) -> None:
        self._over = asyncio.Event()
        try:
            server = make(device.simulated())
            await server.serve_forever(background=True)
        except BaseException as error:
            self._ready.set_exception(error)
            raise
        self._ready.set_result(server)
        await self._over.wait()
        await server.shutdown()
        await asyncio.sleep(0)

    def stop(self) -> None:
        self._loop.call_soon_threadsafe(self._over.set)
        self._thread.join(PATIENCE_S)
        assert not self._thread.is_alive()


if sys.platform == "win32":
    pytest.skip("needs pseudo-terminals", allow_module_level=True)
else:
    import tty

    class ModbusLine:
        """Two pseudo-terminals with a thread between them that carries bytes both ways.

        port: what a listener opens. asked: every byte the listener sent. on_answer: what becomes
        of bytes on their way back, to spoil them.
        """

        def __init__(self, device: Device) -> None:
            self._near, near_tty = _raw_pty()
            self._far, far_tty = _raw_pty()
            self._held = [near_tty, far_tty]
            self.port = os.ttyname(near_tty)
            self.asked = b""
            self.on_answer: Callable[[bytes], bytes] = bytes
            self._device = device
            self._far_port = os.ttyname(far_tty)
            self._server: Server | None = None
            self._stop_read, self._stop_write = os.pipe()
            self._carrier = threading.Thread(target=self._carry)
            self._carrier.start()
            self.power_on()

        def power_on(self) -> None:
            self._server = Server(
                self._device,
                lambda simulated: ModbusSerialServer(simulated, port=self._far_port, baudrate=9600),
            )

        def power_off(self) -> None:
            """The device says nothing more; the line stays."""
            if self._server is not None:
                self._server.stop()
                self._server = None

        def unplug(self) -> None:
            """The line is gone, for good. May be repeated."""
            self.power_off()
            if self._held:
                os.write(self._stop_write, b".")
                self._carrier.join(PATIENCE_S)
                ends = [self._near, self._far, self._stop_read, self._stop_write, *self._held]
                for end in ends:
                    os.close(end)
                self._held = []

        def _carry(self) -> None:
            while True:
                ready, _, _ = select.select([self._near, self._far, self._stop_read], [], [])
                if self._stop_read in ready:
                    return
                if self._near in ready:
                    data = os.read(self._near, 4096)
                    self.asked += data
                    os.write(self._far, data)
                if self._far in ready:
                    os.write(self._near, self.on_answer(os.read(self._far, 4096)))

        def __enter__(self) -> Self:
            return self

        def __exit__(
            self,
            kind: type[BaseException] | None,
            error: BaseException | None,
            trace: TracebackType | None,
        ) -> None:
            self.unplug()

    def _raw_pty() -> tuple[int, int]:
        device, listener = os.openpty()
        tty.setraw(listener)
        return device, listener


def network_server(device: Device, port: int = 0) -> Server:
    """RTU frames over TCP, as adapters on a network carry them."""
    return Server(
        device,
        lambda simulated: ModbusTcpServer(
            simulated, framer=FramerType.RTU, address=("127.0.0.1", port)
        ),
    )
