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

    data: all that has come since the request. What stands before the answer is passed over: a
    two-wire line often gives a stray byte when it turns round. Never raises, and never waits for
    more than two answers' length.
    """
    frame = _from_head(ask, data)
    if len(frame) < 2:
        return Unreadable() if len(data) >= ask.answer_bytes else None
    size = REFUSAL_BYTES if frame[1] & _REFUSAL else ask.answer_bytes
    if len(frame) < size:
        return None
    answer = _decoded(frame[:size])
    if isinstance(answer, ExceptionResponse):
        return Refused(answer.exception_code)
    if answer is not None and len(answer.registers) == ask.block.count:
        return answer.registers
    return Unreadable()


def _from_head(ask: Ask, data: bytes) -> bytes:
    """From the first place where the unit and the function asked for stand, if there is one."""
    heads = (bytes([ask.unit, code]) for code in (ask.function, ask.function | _REFUSAL))
    places = [place for head in heads if (place := data.find(head)) >= 0]
    return data[min(places) :] if places else b""


def _decoded(frame: bytes) -> ModbusPDU | None:
    try:
        _, answer = _FRAMER.handleFrame(frame, 0, 0)
    except ModbusException:
        return None
    return answer
