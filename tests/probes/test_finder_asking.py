"""Asking a silent line the Modbus way: pymodbus's own server on a real serial line."""

from __future__ import annotations

import sys
from collections.abc import Iterator

import pytest

from roastside.probes.asking import UNIT, Answer, ask_for_registers, asked_finding
from roastside.probes.finder import Finder
from roastside.probes.finding import Finding, Outcome
from roastside.probes.modbus_frames import Ask, Refused
from roastside.probes.modbus_registers import Block
from roastside.probes.tuning import open_tunable, tune
from roastside.probes.virtual_line import virtual_line
from roastside.probes.wire.modbus_spec import modbus_spec
from roastside.probes.wire.spec import wire_options
from tests.live.running import posix_only

if sys.platform != "win32":
    from tests.probes.modbus_line import Device, ModbusLine

SHORT_S = 0.02


def answered(said: list[int] | Refused, function: int = 4, parity: str = "N") -> Finding:
    ask = Ask(UNIT, function, Block(0, 2))
    return asked_finding("/dev/ttyUSB0", Answer(19200, parity, ask, b"", said))


@pytest.mark.parametrize(
    ("registers", "wire", "beans_c"),
    [
        ([235, 241], "modbus:unit=1,bean=0,air=1,function=4,scale=0.1", 23.5),
        ([24, 23], "modbus:unit=1,bean=0,air=1,function=4", 24.0),
        ([2350, 2410], "modbus:unit=1,bean=0,air=1,function=4,scale=0.01", 23.5),
        ([235, 32767], "modbus:unit=1,bean=0,function=4,scale=0.1", 23.5),
        ([203], "modbus:unit=1,bean=0,function=4,scale=0.1", 20.3),
        ([65526, 0], "modbus:unit=1,bean=0,air=1,function=4", -10.0),
    ],
)
def test_registers_are_read_so_that_a_room_comes_out(
    registers: list[int], wire: str, beans_c: float
) -> None:
    found = answered(registers)
    assert found.proposal is not None
    assert (found.proposal.wire, found.proposal.baud) == (wire, 19200)
    assert found.lines[0].reading is not None
    assert found.lines[0].reading.bean_c == beans_c
    assert modbus_spec(wire_options(wire)).unit == UNIT
    assert any("a guess" in sentence for sentence in found.advice)


def test_numbers_that_are_no_temperature_are_shown_as_they_are() -> None:
    found = answered([40000, 40000])
    assert found.proposal is not None
    assert found.proposal.wire == "modbus:unit=1,bean=0,function=4"
    assert any("register 0 holds -25536" in sentence for sentence in found.advice)


def test_function_and_parity_of_the_answer_go_into_the_wire() -> None:
    found = answered([235, 241], function=3, parity="E")
    assert found.proposal is not None
    spec = modbus_spec(wire_options(found.proposal.wire))
    assert (spec.function, spec.parity) == (3, "E")
    assert "even parity" in found.sentence


def test_a_unit_that_refuses_is_there_but_needs_its_manual() -> None:
    found = answered(Refused(2))
    assert (found.outcome, found.found) == (Outcome.TEXT, False)
    assert "manual" in found.sentence


@pytest.fixture
def line() -> Iterator[ModbusLine]:
    with ModbusLine(Device({0: 235, 1: 241})) as made:
        yield made


@posix_only
def test_a_device_that_only_answers_is_found_by_asking(line: ModbusLine) -> None:
    found = Finder(line.port, SHORT_S, ask=True).find()
    assert found.outcome is Outcome.READINGS
    assert found.proposal is not None
    assert found.proposal.wire == "modbus:unit=1,bean=0,air=1,function=4,scale=0.1"


@posix_only
def test_without_being_told_to_ask_nothing_is_sent(line: ModbusLine) -> None:
    found = Finder(line.port, SHORT_S).find()
    assert (found.outcome, line.asked) == (Outcome.SILENCE, b"")


@posix_only
def test_every_question_is_one_to_read(line: ModbusLine) -> None:
    line.power_off()
    port = open_tunable(line.port, 9600)
    told: list[str] = []
    assert ask_for_registers(port, line.port, (9600,), told.append, lambda: False) is None
    port.close()
    questions = [line.asked[at : at + 8] for at in range(0, len(line.asked), 8)]
    assert questions
    # MODBUS Application Protocol Specification V1.1b3: 3 and 4 read registers, others may write.
    assert {question[:2] for question in questions} == {b"\x01\x04", b"\x01\x03"}
    assert told[0] == "asking unit 1 at 9600 baud"


@posix_only
def test_a_device_with_one_register_only_is_asked_for_that() -> None:
    with ModbusLine(Device({0: 235})) as line:
        found = Finder(line.port, SHORT_S, ask=True).find()
    assert found.proposal is not None
    assert found.proposal.wire == "modbus:unit=1,bean=0,function=4,scale=0.1"


@posix_only
def test_an_echo_of_the_question_is_no_answer() -> None:
    with ModbusLine(Device({0: 235, 1: 241})) as line:
        question = Ask(UNIT, 4, Block(0, 2)).frame()
        line.on_answer = lambda data: question + data
        found = Finder(line.port, SHORT_S, ask=True).find()
    assert found.outcome is Outcome.READINGS
    assert found.lines[0].reading is not None
    assert found.lines[0].reading.bean_c == 23.5


@posix_only
def test_a_speed_is_changed_without_closing_and_one_that_cannot_be_is_told() -> None:
    with virtual_line() as line:
        port = open_tunable(line.port, 9600)
        assert tune(port, 19200)
        assert port.baudrate == 19200
        assert not tune(port, -1)
        port.close()
