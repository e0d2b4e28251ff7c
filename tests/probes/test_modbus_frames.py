"""Frames of Modbus RTU against published examples.

Sources: Modbus.org, "MODBUS over Serial Line" V1.02 and "MODBUS Application Protocol Specification"
V1.1b3, as quoted by several public test suites; each checksum is computed again below.
"""

from __future__ import annotations

import subprocess
import sys

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.probes.modbus_frames import Ask, Refused, Unreadable, read_answer
from roastside.probes.modbus_registers import Block
from tests.probes.modbus_bytes import answer, crc, frame

ASK = Ask(1, 4, Block(0, 2))

# Check value of CRC-16/MODBUS in the catalogues of checksums; the serial line guide's own example
# (02 07); questions, answers and a refusal of functions 03 and 04.
PUBLISHED = {
    "31 32 33 34 35 36 37 38 39": "37 4B",
    "02 07": "41 12",
    "11 03 00 6B 00 03": "76 87",
    "11 03 06 AE 41 56 52 43 40": "49 AD",
    "11 04 00 08 00 01": "B2 98",
    "11 04 02 00 0A": "F8 F4",
    "01 03 00 00 00 0A": "C5 CD",
    "01 03 00 00 00 02": "C4 0B",
    "01 04 00 00 00 02": "71 CB",
    "11 83 02": "C1 34",
}


@pytest.mark.parametrize(("data", "checksum"), PUBLISHED.items())
def test_the_tests_own_checksum_is_the_published_one(data: str, checksum: str) -> None:
    assert crc(bytes.fromhex(data)) == bytes.fromhex(checksum)


@pytest.mark.parametrize(
    ("ask", "published"),
    [
        (Ask(1, 4, Block(0, 2)), "01 04 00 00 00 02 71 CB"),
        (Ask(1, 3, Block(0, 2)), "01 03 00 00 00 02 C4 0B"),
        (Ask(1, 3, Block(0, 10)), "01 03 00 00 00 0A C5 CD"),
        (Ask(17, 3, Block(107, 3)), "11 03 00 6B 00 03 76 87"),
        (Ask(17, 4, Block(8, 1)), "11 04 00 08 00 01 B2 98"),
    ],
)
def test_requests_are_the_published_ones(ask: Ask, published: str) -> None:
    assert ask.frame() == bytes.fromhex(published)


def test_answers_are_read_as_published() -> None:
    assert read_answer(
        Ask(17, 3, Block(107, 3)), bytes.fromhex("11 03 06 AE 41 56 52 43 40 49 AD")
    ) == [44609, 22098, 17216]
    assert read_answer(Ask(17, 4, Block(8, 1)), bytes.fromhex("11 04 02 00 0A F8 F4")) == [10]


def test_a_refusal_is_read_as_published() -> None:
    assert read_answer(Ask(17, 3, Block(107, 3)), bytes.fromhex("11 83 02 C1 34")) == Refused(2)


@settings(deadline=None)
@given(st.integers(1, 247), st.sampled_from([3, 4]), st.integers(0, 65000), st.integers(1, 125))
def test_the_checksum_of_a_whole_good_frame_is_0(
    unit: int, function: int, start: int, count: int
) -> None:
    # Source: MODBUS over Serial Line V1.02, appendix B: a frame with its own checksum leaves 0.
    assert crc(Ask(unit, function, Block(start, count)).frame()) == b"\0\0"


@settings(deadline=None)
@given(st.lists(st.integers(0, 65535), min_size=1, max_size=125), st.integers(0, 254))
def test_an_answer_is_incomplete_until_its_last_byte(registers: list[int], cut: int) -> None:
    ask = Ask(1, 4, Block(0, len(registers)))
    whole = answer(*registers)
    assert read_answer(ask, whole) == registers
    assert read_answer(ask, whole[: min(cut, len(whole) - 1)]) is None


@pytest.mark.parametrize(
    "wrong",
    [
        answer(2035, 2285)[:-1] + b"\0",  # checksum
        answer(2035, 2285, unit=2),  # another unit
        answer(2035, 2285, function=3),  # another function
        answer(2035) + b"\0\0",  # too few registers
        answer(2035, 2285, 7)[:9],  # more than were asked for
        frame("01 83 02"),  # a refusal of another function
        frame("02 84 02"),  # a refusal by another unit
        frame("01 84 02")[:-1] + b"\0",
        answer(2035) + frame("01 04"),  # too short, with more behind it
        frame("01 04 05 07 F3 08 ED 00")[:9],  # half a register
        bytes(9),
        b"\xff" * 9,
    ],
)
def test_what_is_no_answer_to_the_question_is_never_one(wrong: bytes) -> None:
    read = read_answer(ASK, wrong)
    assert read is None or read == Unreadable()


def test_half_a_register_is_no_register() -> None:
    assert read_answer(Ask(1, 4, Block(0, 1)), frame("01 04 03 07 F3 08")) == Unreadable()


@pytest.mark.parametrize("stray", [b"\0", b"\xff\xff", b"\x01", b"\x01\x01", bytes(20)])
def test_stray_bytes_before_an_answer_are_passed_over(stray: bytes) -> None:
    assert read_answer(ASK, stray + answer(2035, 2285)) == [2035, 2285]
    assert read_answer(ASK, stray + frame("01 84 02")) == Refused(2)


@settings(deadline=None)
@given(st.binary(max_size=64), st.sampled_from([b"", b"\x01\x04", b"\x01\x84", b"\x01\x04\x04"]))
def test_noise_is_never_an_answer(noise: bytes, head: bytes) -> None:
    read = read_answer(ASK, head + noise)
    # One in 65,536 passes the checksum: then it is a whole good frame, and rightly read.
    data = head + noise
    parts = [data[k : k + size] for k in range(len(data)) for size in (5, 9)]
    assert read is None or read == Unreadable() or any(crc(part) == b"\0\0" for part in parts)


def test_the_library_says_nothing_on_the_terminal() -> None:
    lines = [
        "from roastside.probes.modbus_frames import Ask, read_answer",
        "from roastside.probes.modbus_registers import Block",
        "ask = Ask(1, 4, Block(0, 2))",
        "read_answer(ask, bytes(9)); read_answer(ask, bytes([255]) * 9)",
        "from pymodbus.logging import Log",
        "Log.error('about to be lost'); Log.warning('so is this')",
    ]
    ran = subprocess.run(
        [sys.executable, "-c", "\n".join(lines)], capture_output=True, check=True, timeout=60
    )
    assert (ran.stdout, ran.stderr) == (b"", b"")
