"""Temperatures in registers."""

from __future__ import annotations

import pytest

from roastside.probes.modbus_registers import Block, Channel, NumberForm, RegisterMap


@pytest.mark.parametrize(
    ("kind", "registers", "number"),
    [
        ("int16", [2035], 2035.0),
        ("int16", [0xFFFF], -1.0),
        # Source: example answer of MODBUS Application Protocol V1.1b3, function 03, first value.
        ("int16", [0xAE41], -20927.0),
        ("uint16", [0xAE41], 44609.0),
        ("int32", [0x0001, 0x0000], 65536.0),
        ("int32", [0xFFFF, 0xFFFE], -2.0),
        ("uint32", [0xFFFF, 0xFFFE], 4294967294.0),
        # Source: IEEE 754 binary32: sign 0, exponent 0x86 (2^7), fraction 0x4B8000 -> 203.5.
        ("float32", [0x434B, 0x8000], 203.5),
        ("float32", [0xC120, 0x0000], -10.0),
    ],
)
def test_numbers_of_every_type_and_both_word_orders(
    kind: str, registers: list[int], number: float
) -> None:
    for low_word_first, words in ((False, registers), (True, registers[::-1])):
        form = NumberForm(kind, low_word_first)
        assert form.width == len(registers)
        assert form.number(form.pattern(words)) == number


def one_channel(form: NumberForm, scale: float = 1.0, degrees: str = "C") -> RegisterMap:
    return RegisterMap({"bean": Channel(0)}, form, scale, degrees)


@pytest.mark.parametrize(
    ("register", "scale", "degrees", "bean_c"),
    [
        (2035, 0.1, "C", 203.5),
        (0xFF9C, 0.1, "C", -10.0),
        (212, 1.0, "F", 100.0),  # water boils
        (27315, 0.01, "K", 0.0),
        (5001, 0.1, "C", None),  # past what a probe can say (contract 3)
        (0x8000, 1.0, "C", None),
    ],
)
def test_a_temperature_is_the_number_times_the_scale(
    register: int, scale: float, degrees: str, bean_c: float | None
) -> None:
    registers = one_channel(NumberForm(), scale, degrees)
    assert registers.celsius(Block(0, 1), [register]) == {"bean": bean_c}


@pytest.mark.parametrize("words", [[0x7FC0, 0], [0x7F80, 0], [0xFF80, 0]])
def test_a_float_that_is_no_number_is_a_missing_reading(words: list[int]) -> None:
    assert one_channel(NumberForm("float32")).celsius(Block(0, 2), words) == {"bean": None}


def test_open_codes_are_one_pattern_however_they_are_written() -> None:
    form = NumberForm()
    assert form.pattern_of("-32768") == form.pattern_of("32768") == form.pattern_of("0x8000")
    assert NumberForm("float32").pattern_of("9999.9") == 0x461C3F9A  # IEEE 754, struct
    for text, kind in (
        ("65536", "int16"),
        ("-32769", "int16"),
        ("x", "int16"),
        ("1e99", "float32"),
    ):
        with pytest.raises(ValueError, match=text):
            NumberForm(kind).pattern_of(text)


def test_an_open_probe_is_missing_though_its_code_could_be_a_temperature() -> None:
    registers = RegisterMap(
        {"bean": Channel(0, frozenset({0x7FFF})), "air": Channel(1)}, NumberForm(), 0.01
    )
    assert registers.celsius(Block(0, 2), [0x7FFF, 0x7FFF]) == {"bean": None, "air": 327.67}


def blocks(kind: str = "int16", **at: int) -> list[tuple[int, int]]:
    channels = {name: Channel(register) for name, register in at.items()}
    registers = RegisterMap(channels, NumberForm(kind))
    return [(block.start, block.count) for block in registers.blocks()]


def test_neighbours_are_asked_for_in_one_request() -> None:
    assert blocks(bean=1, air=0) == [(0, 2)]
    assert blocks("float32", bean=10, air=12, exhaust_c=14) == [(10, 6)]


def test_registers_nobody_asked_for_are_left_alone_and_the_bean_comes_last() -> None:
    assert blocks(bean=0, air=2, exhaust_c=3, room_c=100) == [(2, 2), (100, 1), (0, 1)]
    assert blocks("int32", bean=0, air=3) == [(3, 2), (0, 2)]


def test_a_request_asks_for_no_more_than_a_frame_can_answer() -> None:
    # 125 registers: MODBUS Application Protocol V1.1b3, functions 03 and 04.
    many = {f"probe{k}_c": k for k in range(1, 130)}
    assert blocks(bean=0, **many) == [(125, 5), (0, 125)]
    pairs = {f"probe{k}_c": 2 * k for k in range(1, 70)}
    assert blocks("float32", bean=0, **pairs) == [(124, 16), (0, 124)]


def test_a_block_names_its_registers() -> None:
    assert (str(Block(7, 1)), str(Block(7, 3))) == ("register 7", "registers 7 to 9")
