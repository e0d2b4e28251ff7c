"""Modbus RTU frames: the bytes of a request, and what the bytes of an answer say.

Importing this loads pymodbus; nothing on the way to the first screen may do so.
"""

from __future__ import annotations

import logging
from collections.abc import Sequence
from typing import NamedTuple

from pymodbus.exceptions import ModbusException
from pymodbus.framer import FramerRTU
from pymodbus.pdu import DecodePDU, ExceptionResponse, ModbusPDU
from pymodbus.pdu.register_message import ReadHoldingRegistersRequest, ReadInputRegistersRequest

from roastside.probes.modbus_registers import Block

# Without a handler Python prints the library's warnings to stderr, across the screen.
logging.getLogger("pymodbus").addHandler(logging.NullHandler())

_REQUESTS: dict[int, type[ReadHoldingRegistersRequest]] = {
    3: ReadHoldingRegistersRequest,
    4: ReadInputRegistersRequest,
}
_FRAMER = FramerRTU(DecodePDU(is_server=False))

REFUSAL_BYTES = 5
_REFUSAL = 0x80
"""Set in the function code of an answer that refuses."""


class Ask(NamedTuple):
    """A request for registers. unit: 1 to 247. function: 3 (holding) or 4 (input registers)."""

    unit: int
    function: int
    block: Block

    @property
    def answer_bytes(self) -> int:
        """Length of the frame that answers."""
        return 5 + 2 * self.block.count

    def frame(self) -> bytes:
        """The bytes for the wire."""
        request = _REQUESTS[self.function](
            dev_id=self.unit, address=self.block.start, count=self.block.count
        )
        return _FRAMER.buildFrame(request)


class Refused(NamedTuple):
    """The unit understood and said no (an exception reply)."""

    code: int


class Unreadable(NamedTuple):
    """Something came that is no answer to what was asked: garbled, or of another unit."""


def read_answer(ask: Ask, data: bytes) -> Sequence[int] | Refused | Unreadable | None:
    """The registers in an answer, or what is wrong with it; None while it is incomplete.

    data: all that has come since the request, 0 bytes or more. Never raises.
    """
    if len(data) < REFUSAL_BYTES:
        return None
    refuses = data[1] & _REFUSAL
    if len(data) < (REFUSAL_BYTES if refuses else ask.answer_bytes):
        return None
    answer = _decoded(data)
    if answer is None or answer.dev_id != ask.unit:
        return Unreadable()
    if isinstance(answer, ExceptionResponse) and answer.function_code == ask.function | _REFUSAL:
        return Refused(answer.exception_code)
    if answer.function_code == ask.function and len(answer.registers) == ask.block.count:
        return answer.registers
    return Unreadable()


def _decoded(data: bytes) -> ModbusPDU | None:
    try:
        # Any unit and transaction: who answered is looked at by the caller.
        _, answer = _FRAMER.handleFrame(data, 0, 0)
    except ModbusException:
        return None
    return answer
