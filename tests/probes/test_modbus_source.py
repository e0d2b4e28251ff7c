"""Readings from a Modbus device: pymodbus's own server, pyserial on a real pseudo-terminal."""

from __future__ import annotations

import struct
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
import serial
from pymodbus.constants import ExcCodes

from roastside.core.errors import ProbeError, UsageError
from roastside.core.readings import Item, Outage, Reading
from roastside.probes.link import SerialLink
from roastside.probes.modbus_source import ModbusSource
from roastside.probes.opening import device_source
from roastside.probes.port import open_port
from roastside.probes.serial_source import SerialSource
from roastside.probes.source import RoastClock, Source
from roastside.probes.virtual_line import virtual_line
from tests.probes.modbus_line import Device, ModbusLine, network_server
from tests.probes.waiting import read_until

BOTH = "modbus:unit=1,bean=0,air=1,scale=0.1,function=4,every=100"


@pytest.fixture
def device() -> Device:
    return Device({0: 2035, 1: 2285})


@pytest.fixture
def line(device: Device) -> Iterator[ModbusLine]:
    with ModbusLine(device) as made:
        yield made


class StillClock:
    """A clock that only moves when told."""

    def __init__(self) -> None:
        self.time_s = 0.0

    def now_s(self) -> float:
        return self.time_s


def modbus_source(port: str, wire: str = BOTH) -> ModbusSource:
    source = device_source(port, wire, 9600, RoastClock())
    assert isinstance(source, ModbusSource)
    return source


def readings(items: list[Item]) -> list[Reading]:
    return [item for item in items if isinstance(item, Reading)]


def first_reading(source: Source, what: str = "a reading") -> Reading:
    return readings(read_until(source, lambda got: bool(readings(got)), what))[0]


def one_reading(port: str, wire: str) -> Reading:
    source = modbus_source(port, wire)
    source.open()
    reading = first_reading(source)
    source.close()
    return reading


def test_readings_come_one_after_the_other(device: Device, line: ModbusLine) -> None:
    source = modbus_source(line.port)
    source.open()
    for bean, bean_c in ((2035, 203.5), (2040, 204.0), (0xFF9C, -10.0)):
        device.registers[0] = bean
        read_until(
            source,
            lambda got, wanted=bean_c: wanted in [each.bean_c for each in readings(got)],
            f"{bean_c} °C",
        )
    items = read_until(source, lambda got: len(got) == 2, "two readings")
    source.close()
    assert [(each.bean_c, each.air_c) for each in readings(items)] == [(-10.0, 228.5)] * 2
    assert [item.time_s for item in items] == sorted(item.time_s for item in items)
    assert (source.name, source.last_unread, source.ended) == (line.port, "", False)


def test_the_question_on_the_wire_is_the_published_one(line: ModbusLine) -> None:
    one_reading(line.port, BOTH)
    # Source: frame of MODBUS over Serial Line V1.02 with its checksum, as in test_modbus_frames.
    assert line.asked[:8] == bytes.fromhex("01 04 00 00 00 02 71 CB")


def test_the_published_answer_comes_through_whole() -> None:
    # Source: example of function 03, MODBUS Application Protocol V1.1b3: unit 17, registers 107
    # to 109 hold 0xAE41, 0x5652, 0x4340 = -20927, 22098, 17216.
    answers: list[bytes] = []

    def keep(data: bytes) -> bytes:
        answers.append(data)
        return data

    with ModbusLine(Device({107: 0xAE41, 108: 0x5652, 109: 0x4340}, unit=17)) as line:
        line.on_answer = keep
        reading = one_reading(
            line.port, "modbus:unit=17,function=3,air=107,bean=108,room_c=109,scale=0.01"
        )
        assert line.asked[:8] == bytes.fromhex("11 03 00 6B 00 03 76 87")
    assert b"".join(answers)[:11] == bytes.fromhex("11 03 06 AE 41 56 52 43 40 49 AD")
    # -209.27 °C is no temperature of a probe (contract 3).
    assert reading == Reading(reading.time_s, 220.98, None, {"room_c": 172.16})


@pytest.mark.parametrize("kind", ["int16", "uint16", "int32", "uint32", "float32"])
@pytest.mark.parametrize("order", ["big", "little"])
def test_every_type_of_number(kind: str, order: str) -> None:
    shape = {"int16": ">h", "uint16": ">H", "int32": ">i", "uint32": ">I", "float32": ">f"}[kind]
    values = (20350, 22850, 500 if kind.startswith("u") else -500)
    registers: list[int] = []
    for value in values:
        packed = struct.pack(shape, value)
        words = [int.from_bytes(packed[k : k + 2], "big") for k in range(0, len(packed), 2)]
        registers += words if order == "big" else words[::-1]
    width = len(registers) // 3
    with ModbusLine(Device({50 + k: word for k, word in enumerate(registers)})) as line:
        reading = one_reading(
            line.port,
            f"modbus:bean=50,air={50 + width},room_c={50 + 2 * width},scale=0.01,"
            f"type={kind},order={order}",
        )
    assert (reading.bean_c, reading.air_c) == (203.5, 228.5)
    assert reading.extra == {"room_c": values[2] / 100.0}


def test_fahrenheit_and_holding_registers() -> None:
    with ModbusLine(Device({0: 392, 7: 212})) as line:
        reading = one_reading(line.port, "modbus:bean=0,air=7,function=3,degrees=F")
    assert (reading.bean_c, reading.air_c) == (200.0, 100.0)


def test_an_open_probe_is_a_missing_reading() -> None:
    with ModbusLine(Device({0: 32767, 1: 0x8000, 2: 19999})) as line:
        reading = one_reading(
            line.port, "modbus:bean=0,air=1,exhaust_c=2,scale=0.01,open=32767/-32768"
        )
    assert reading == Reading(reading.time_s, None, None, {"exhaust_c": 199.99})


def test_a_register_that_is_not_there_is_a_missing_reading(
    device: Device, line: ModbusLine
) -> None:
    source = modbus_source(line.port, "modbus:bean=0,air=9,scale=0.1,every=100")
    source.open()
    reading = first_reading(source)
    source.close()
    assert (reading.bean_c, reading.air_c) == (203.5, None)
    assert source.last_unread == "unit 1 has no register 9 for function 4 (error 2)"


def test_a_device_that_refuses_for_a_while_is_read_again(device: Device, line: ModbusLine) -> None:
    device.refusal = ExcCodes.DEVICE_BUSY
    source = modbus_source(line.port)
    source.open()
    reading = first_reading(source, "a missing reading")
    assert (reading.bean_c, reading.air_c) == (None, None)
    assert source.last_unread == "unit 1 refuses registers 0 to 1 (error 6)"
    device.refusal = None
    read_until(source, lambda got: 203.5 in [r.bean_c for r in readings(got)], "readings")
    source.close()
    assert source.last_unread == ""


def test_garbled_answers_are_no_readings(line: ModbusLine) -> None:
    source = modbus_source(line.port)
    source.open()
    line.on_answer = lambda data: bytes(byte ^ 0x10 for byte in data)
    got = read_until(source, lambda _: line.asked.count(b"\x71\xcb") >= 3, "three questions")
    assert got == []
    assert source.last_unread == "no answer that can be read from unit 1 at 9600 baud"
    line.on_answer = bytes
    assert first_reading(source).bean_c == 203.5
    source.close()


def test_another_unit_is_silence_with_a_reason(line: ModbusLine) -> None:
    line.on_answer = lambda _: b""  # the server would refuse in the name of a unit it is not
    source = modbus_source(line.port, "modbus:unit=2,bean=0")
    source.open()
    got = read_until(source, lambda _: source.last_unread != "", "the reason")
    source.close()
    assert got == []
    assert source.last_unread == "no answer from unit 2 at 9600 baud"


def test_a_device_that_was_switched_off_and_on_is_read_again(line: ModbusLine) -> None:
    source = modbus_source(line.port)
    source.open()
    first_reading(source)
    line.power_off()
    got = read_until(source, lambda _: source.last_unread != "", "the silence")
    assert [item for item in got if isinstance(item, Outage)] == []
    line.power_on()
    assert first_reading(source, "readings again").bean_c == 203.5
    source.close()


def test_an_unplugged_adapter_is_one_outage_and_heals(
    device: Device, line: ModbusLine, tmp_path: Path
) -> None:
    port = tmp_path / "probe"
    port.symlink_to(line.port)
    source = modbus_source(str(port))
    source.open()
    first_reading(source)
    port.unlink()  # first, as the system may give the name it points to to another terminal
    line.unplug()
    items = read_until(source, lambda got: bool(got) and isinstance(got[-1], Outage), "the outage")
    assert items[-1] == Outage(items[-1].time_s, f"the line to {port} was lost")
    assert [item for _ in range(5) for item in source.read(0.05)] == []
    with ModbusLine(device) as second:
        port.symlink_to(second.port)
        again = read_until(source, lambda got: len(got) >= 2, "readings again")
        source.close()
    assert [each.bean_c for each in readings(again)] == [203.5] * len(again)
    assert again[0].time_s >= items[-1].time_s


def test_what_was_read_before_an_outage_is_not_told_after_it(tmp_path: Path) -> None:
    port = tmp_path / "probe"
    wire = "modbus:bean=0,air=5,room_c=9,scale=0.1"
    with ModbusLine(Device({0: 2035, 5: 2285, 9: 210})) as line:
        port.symlink_to(line.port)
        line.on_answer = lambda data: data if len(line.asked) <= 8 else b""
        source = modbus_source(str(port), wire)
        source.open()
        # The air's question was answered, the room's was not; the bean's was not asked yet.
        read_until(source, lambda _: len(line.asked) >= 16, "the second question")
        port.unlink()
    read_until(source, lambda got: bool(got) and isinstance(got[-1], Outage), "the outage")
    told = source.last_unread
    for _ in range(26):  # longer than an answer is waited for: nothing is asked of a lost line
        assert source.read(0.05) == []
    assert source.last_unread == told
    with ModbusLine(Device({0: 2040, 9: 210})) as second:
        port.symlink_to(second.port)
        reading = first_reading(source, "readings again")
        source.close()
    assert reading == Reading(reading.time_s, 204.0, None, {"room_c": 21.0})


def test_a_network_adapter_that_goes_away_and_returns(device: Device) -> None:
    server = network_server(device)
    where = server.server.transport.sockets[0].getsockname()[1]
    source = modbus_source(f"socket://127.0.0.1:{where}")
    source.open()
    assert first_reading(source).bean_c == 203.5
    server.stop()
    read_until(source, lambda got: bool(got) and isinstance(got[-1], Outage), "the outage")
    server = network_server(device, where)
    assert first_reading(source, "readings again").bean_c == 203.5
    source.close()
    server.stop()


def test_readings_are_stamped_when_the_answer_came(line: ModbusLine) -> None:
    clock = StillClock()
    source = device_source(line.port, BOTH, 9600, clock)
    source.open()
    for time_s in (1.5, 7.25):
        clock.time_s = time_s
        assert first_reading(source) == Reading(time_s, 203.5, 228.5)
    assert source.now_s() == 7.25
    source.close()


def test_a_device_that_never_takes_its_questions_holds_nobody_up() -> None:
    with virtual_line() as line:
        link = SerialLink(line.port)
        link.open()
        link.send(bytes(100_000))  # far more than the line holds: the rest is lost
        assert link.read(0.0).lost == ""
        link.close()
        link.send(b"x")


def test_closing_lets_go_of_the_port(line: ModbusLine) -> None:
    source = modbus_source(line.port)
    source.open()
    source.close()
    assert source.read(0.0) == []
    open_port(line.port, 9600).close()


def test_a_missing_port_is_refused_at_opening(tmp_path: Path) -> None:
    with pytest.raises(ProbeError, match="There is no port"):
        modbus_source(str(tmp_path / "nothing")).open()


def test_parity_and_stop_bits_reach_the_port() -> None:
    with virtual_line() as line:
        port = open_port(line.port, 19200, "E", 2)
        assert isinstance(port, serial.Serial)
        settings = port.get_settings()
        port.close()
    assert (settings["baudrate"], settings["parity"], settings["stopbits"]) == (19200, "E", 2)


@pytest.mark.parametrize("wire", ["lines", "lines:bean=1", "millivolts:bean=1,cold=2,type=K"])
def test_lines_are_listened_to(wire: str) -> None:
    assert isinstance(device_source("/dev/null", wire, 9600, RoastClock()), SerialSource)


@pytest.mark.parametrize("wire", ["modbus", "modbus:bean=x", "mod", "lines:bean=0"])
def test_wrong_words_are_refused_before_a_port_is_opened(wire: str) -> None:
    with pytest.raises(UsageError):
        device_source("/dev/null", wire, 9600, RoastClock())


def test_nothing_on_the_way_to_the_first_screen_loads_pymodbus() -> None:
    lines = [
        "import sys, roastside.cli, roastside.app.app, roastside.probes.opening",
        "from roastside.probes.source import RoastClock",
        "roastside.probes.opening.device_source('x', 'lines', 9600, RoastClock())",
        "assert 'pymodbus' not in sys.modules",
        "roastside.probes.opening.device_source('x', 'modbus:bean=0', 9600, RoastClock())",
        "assert 'pymodbus' in sys.modules",
    ]
    subprocess.run([sys.executable, "-c", "\n".join(lines)], check=True, timeout=120)
