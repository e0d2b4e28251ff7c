"""Asking a Modbus device again and again: what to send when, and what the answers give."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from roastside.probes.modbus_frames import Ask, Refused, Unreadable, read_answer
from roastside.probes.modbus_registers import Block
from roastside.probes.wire.modbus_spec import ModbusSpec

ANSWER_S = 1.0
"""A unit that has not answered by then will not (common practice, no source)."""

LATE_S = 1.0
"""After a missing answer nothing is asked for so long: a late one must not be taken for the
answer to the next question."""

STRAY_S = 0.1
"""After bytes that made no sense the line must be silent for so long: more may follow."""

_BITS_PER_CHARACTER = 11

_REFUSALS: Mapping[int, str] = {
    1: "unit {unit} does not know function {function}",
    2: "unit {unit} has no {block} for function {function}",
}


def silence_s(baud: int) -> float:
    """Seconds of silence that part two frames: 3.5 characters, at least 1.75 ms.

    Source: Modbus.org, MODBUS over Serial Line V1.02, 2.5.1.1.
    """
    return 0.00175 if baud > 19200 else 3.5 * _BITS_PER_CHARACTER / baud


class Poller:
    """Pure: no I/O and no clock. `now_s` is any time that never goes back.

    A poll asks for every block of registers. It gives the temperatures of all channels once the
    bean's block, the last, was answered: None for those that are open, refused or unanswered.
    """

    def __init__(self, spec: ModbusSpec, baud: int) -> None:
        self.trouble = ""
        """What was wrong in the last poll, a phrase for people; empty when nothing."""
        self._spec = spec
        self._baud = baud
        self.begin(0.0)

    def begin(self, now_s: float) -> None:
        """The line was opened anew: what was asked is forgotten, and a poll is due."""
        self._due_s = now_s
        self._quiet_until_s = now_s
        self._left: list[Block] = []
        self._asked: Ask | None = None
        self._answer_by_s = now_s
        self._received = b""
        self._found: dict[str, float | None] = {}
        self._poll_failed = False

    def wait_s(self, now_s: float) -> float:
        """How long from now `request` will have nothing to do."""
        until_s = self._quiet_until_s if self._left else max(self._quiet_until_s, self._due_s)
        return max(0.0, (self._answer_by_s if self._asked else until_s) - now_s)

    def request(self, now_s: float) -> bytes:
        """What to send now, mostly nothing."""
        if self.wait_s(now_s) > 0.0:
            return b""
        if self._asked is not None:
            self._give_up(self._asked, now_s)
            return b""
        if not self._left:
            self._begin_poll(now_s)
        self._asked = Ask(self._spec.unit, self._spec.function, self._left.pop(0))
        self._received = b""
        frame = self._asked.frame()
        self._answer_by_s = now_s + ANSWER_S + self._on_the_wire_s(frame, self._asked)
        return frame

    def feed(self, data: bytes, now_s: float) -> Mapping[str, float | None] | None:
        """Temperatures in °C by channel, when `data` completed a poll."""
        if data:
            self._quiet_until_s = max(self._quiet_until_s, now_s + silence_s(self._baud))
        if not data or self._asked is None:
            return None
        self._received += data
        answer = read_answer(self._asked, _without_echo(self._received, self._asked))
        return None if answer is None else self._take(self._asked, answer, now_s)

    def _begin_poll(self, now_s: float) -> None:
        self._due_s += self._spec.every_s
        if self._due_s <= now_s:
            self._due_s = now_s + self._spec.every_s
        self._left = self._spec.registers.blocks()
        self._found = dict.fromkeys(self._spec.registers.channels)
        self._poll_failed = False

    def _give_up(self, ask: Ask, now_s: float) -> None:
        self._fail(self._no_answer(heard=_without_echo(self._received, ask) != b""))
        self._quiet_until_s = now_s + LATE_S
        self._asked = None

    def _take(
        self, ask: Ask, answer: Sequence[int] | Refused | Unreadable, now_s: float
    ) -> Mapping[str, float | None] | None:
        self._asked = None
        match answer:
            case Unreadable():
                self._fail(self._no_answer(heard=True))
                self._quiet_until_s = now_s + max(STRAY_S, silence_s(self._baud))
                return None
            case Refused(code):
                phrase = _REFUSALS.get(code, "unit {unit} refuses {block}")
                self._fail(f"{phrase} (error {code})".format(**ask._asdict()))
            case registers:
                self._found |= self._spec.registers.celsius(ask.block, registers)
        return None if self._left else self._end_poll()

    def _end_poll(self) -> Mapping[str, float | None]:
        if not self._poll_failed:
            self.trouble = ""
        return self._found

    def _fail(self, trouble: str) -> None:
        self.trouble = trouble
        self._poll_failed = True

    def _no_answer(self, *, heard: bool) -> str:
        what = "no answer that can be read" if heard else "no answer"
        return f"{what} from unit {self._spec.unit} at {self._baud} baud"

    def _on_the_wire_s(self, request: bytes, ask: Ask) -> float:
        return (len(request) + ask.answer_bytes) * _BITS_PER_CHARACTER / self._baud


def _without_echo(received: bytes, ask: Ask) -> bytes:
    """What came, without the request, which many two-wire adapters send back."""
    request = ask.frame()
    if request.startswith(received):
        return b""
    return received.removeprefix(request)
