"""Asking a silent line the Modbus way: does unit 1 answer, and what stands in its registers?

It only asks to read; nothing in a device is written. Importing this loads pymodbus.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import NamedTuple

from roastside.core.readings import Reading
from roastside.probes.finding import Finding, Outcome, has_speed
from roastside.probes.judge import COLDEST_C, HOTTEST_C
from roastside.probes.modbus_frames import Ask, Refused, Unreadable, read_answer
from roastside.probes.modbus_registers import Block, NumberForm
from roastside.probes.proposal import ROOM_C, Proposal
from roastside.probes.raw import RawLine
from roastside.probes.tuning import TunablePort, take, tune

UNIT = 1
"""The address that most devices are sold with (common practice, no source)."""

PARITIES = ("N", "E")
FUNCTIONS = (4, 3)
BLOCKS = (Block(0, 2), Block(0, 1))
"""Two registers, or the first alone from a device that has no second."""

SCALES = (1.0, 0.1, 0.01)

ANSWER_S = 0.4
"""Long enough for a device on the bench; a search asks often."""

_BITS_PER_CHARACTER = 11
_WORDS = {"N": "", "E": ", even parity"}


class Answer(NamedTuple):
    """What a unit said: at which speed and parity, to what, and the registers or its refusal."""

    baud: int
    parity: str
    ask: Ask
    data: bytes
    said: Sequence[int] | Refused


def ask_for_registers(
    port: TunablePort,
    url: str,
    speeds: Sequence[int],
    say: Callable[[str], None],
    stopped: Callable[[], bool],
) -> Finding | None:
    """Ask at every speed, without and with parity; None when nobody answers.

    Raises one of LINE_TROUBLES when the line is lost.
    """
    refused = None
    for parity, baud in product(PARITIES, speeds):
        if stopped() or not tune(port, baud, parity):
            continue
        say(f"asking unit {UNIT} at {baud} baud{_WORDS[parity]}")
        for answer in _answers(port, baud, parity):
            if not isinstance(answer.said, Refused):
                return asked_finding(url, answer)
            refused = answer
        if refused is not None:
            return asked_finding(url, refused)
    return None


def asked_finding(url: str, answer: Answer) -> Finding:
    """What follows from an answer. Pure."""
    spoke = f"Unit {UNIT} answers at {answer.baud} baud{_WORDS[answer.parity]}"
    if isinstance(answer.said, Refused):
        return Finding(
            url,
            Outcome.TEXT,
            f"{spoke}, the Modbus way, but has no register 0: its manual says which registers hold"
            " temperatures; see Modbus in docs/probes.md.",
            answer.data,
        )
    numbers = [NumberForm().number(register) for register in answer.said]
    scale = _scale(numbers[0])
    probes = [n for n, number in enumerate(numbers) if _may_be_c(number * scale)] or [0]
    degrees = [round(numbers[place] * scale, 3) for place in probes]
    reading = Reading(0.0, degrees[0], degrees[1] if len(degrees) > 1 else None)
    return Finding(
        url,
        Outcome.READINGS,
        f"{spoke}, the Modbus way.",
        answer.data,
        (RawLine(answer.data, reading),),
        Proposal(url, answer.baud if has_speed(url) else None, _wire(answer, probes, scale)),
        _advice(numbers, scale),
    )


def _answers(port: TunablePort, baud: int, parity: str) -> Iterator[Answer]:
    for function in FUNCTIONS:
        for block in BLOCKS:
            ask = Ask(UNIT, function, block)
            data = _heard(port, ask, baud)
            said = read_answer(ask, data)
            if said is None or isinstance(said, Unreadable):
                break
            yield Answer(baud, parity, ask, data, said)


def _heard(port: TunablePort, ask: Ask, baud: int) -> bytes:
    """Ask and wait for the whole answer; an echo of the question is taken away."""
    frame = ask.frame()
    characters = len(frame) + ask.answer_bytes
    until_s = time.monotonic() + ANSWER_S + characters * _BITS_PER_CHARACTER / baud
    port.write(frame)
    data = b""
    while time.monotonic() < until_s and read_answer(ask, data.removeprefix(frame)) is None:
        data += take(port)
    return data.removeprefix(frame)


def _scale(number: float) -> float:
    """The scale that makes the first number a room's temperature, or at least a roaster's."""
    for may_be in (_is_room, _may_be_c):
        for scale in SCALES:
            if may_be(number * scale):
                return scale
    return 1.0


def _is_room(degrees: float) -> bool:
    return ROOM_C[0] <= degrees <= ROOM_C[1]


def _may_be_c(degrees: float) -> bool:
    return COLDEST_C <= degrees <= HOTTEST_C


def _wire(answer: Answer, probes: Sequence[int], scale: float) -> str:
    channels = [f"{name}={place}" for name, place in zip(("bean", "air"), probes, strict=False)]
    options = [f"unit={UNIT}", *channels, f"function={answer.ask.function}"]
    options += [] if scale == 1.0 else [f"scale={scale:g}"]
    options += [] if answer.parity == "N" else [f"parity={answer.parity}"]
    return "modbus:" + ",".join(options)


def _advice(numbers: Sequence[float], scale: float) -> tuple[str, ...]:
    held = ", ".join(
        f"register {place} holds {number:g}, which would be {number * scale:g} °C"
        for place, number in enumerate(numbers)
    )
    return (
        f"With scale={scale:g} {held}: compare it with a thermometer you trust.",
        "Registers and scale are a guess; the device's manual knows. See Modbus in docs/probes.md.",
    )
