"""The words of `--wire modbus:...`."""

from __future__ import annotations

import pytest

from roastside.core.errors import UsageError
from roastside.probes.modbus_registers import Channel, NumberForm, RegisterMap
from roastside.probes.wire.modbus_spec import ModbusSpec, modbus_spec
from roastside.probes.wire.spec import parse_wire, wire_kind, wire_options


def spec(text: str) -> ModbusSpec:
    assert wire_kind(text) == "modbus"
    return modbus_spec(wire_options(text))


def test_the_example_of_the_contract() -> None:
    assert spec("modbus:unit=1,bean=0,air=1,scale=0.1,function=4") == ModbusSpec(
        RegisterMap({"bean": Channel(0), "air": Channel(1)}, NumberForm(), 0.1), unit=1, function=4
    )


def test_the_bean_is_enough() -> None:
    assert spec(" modbus : bean = 7 ") == ModbusSpec(RegisterMap({"bean": Channel(7)}))
    assert ModbusSpec(RegisterMap({})) == ModbusSpec(
        RegisterMap({}), unit=1, function=4, parity="N", stop_bits=1, every_s=0.5
    )


def test_every_option() -> None:
    assert spec(
        "modbus:unit=247,function=3,bean=100,air=102,exhaust_c=104,type=float32,order=little,"
        "scale=2,degrees=f,open=9999,open_air=-1/0,parity=e,stop=2,every=100"
    ) == ModbusSpec(
        RegisterMap(
            {
                "bean": Channel(100, frozenset({0x461C3C00})),  # 9999 in IEEE 754
                "air": Channel(102, frozenset({0xBF800000, 0})),
                "exhaust_c": Channel(104, frozenset({0x461C3C00})),
            },
            NumberForm("float32", low_word_first=True),
            2.0,
            "F",
        ),
        unit=247,
        function=3,
        parity="E",
        stop_bits=2,
        every_s=0.1,
    )


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ("", "which register is the bean probe"),
        ("air=1", "which register is the bean probe"),
        ("bean=BT", "register of bean"),
        ("bean=-1", "from 0 to 65535"),
        ("bean=65536", "from 0 to 65535"),
        ("bean=" + "9" * 5000, "from 0 to 65535"),
        ("bean=65535,type=int32", "from 0 to 65534"),
        ("bean=0,air=0", "share register 0"),
        ("bean=0,air=1,type=float32", "share register 1"),
        ("bean=0,unit=0", "from 1 to 247"),
        ("bean=0,unit=248", "from 1 to 247"),
        ("bean=0,function=6", "3, 4"),
        ("bean=0,scale=0", "above 0"),
        ("bean=0,scale=nan", "above 0"),
        ("bean=0,scale=ten", "above 0"),
        ("bean=0,type=int8", "int16, uint16, int32, uint32, float32"),
        ("bean=0,order=middle", "big, little"),
        ("bean=0,degrees=R", "C, F, K"),
        ("bean=0,open=open", "32767/-32768"),
        ("bean=0,open=32767/", "32767/-32768"),
        ("bean=0,open=70000", "no int16 numbers"),
        ("bean=0,open_air=1", 'no "air"'),
        ("bean=0,parity=X", "N, E, O"),
        ("bean=0,stop=3", "1, 2"),
        ("bean=0,every=99", "from 100 to 2000"),
        ("bean=0,every=5000", "from 100 to 2000"),
        ("bean=0,bean_c=1", "channels ending in _c"),
        ("bean=0,register=1", "channels ending in _c"),
        ("bean=0,b\x1b[2J=1", "channels ending in _c"),
        ("bean=0,bean=1", "twice"),
        ("bean", "name=value"),
    ],
)
def test_words_that_are_wrong_are_refused_with_one_sentence(options: str, says: str) -> None:
    with pytest.raises(UsageError) as refusal:
        spec(f"modbus:{options}")
    sentence = str(refusal.value)
    assert says in sentence
    assert sentence.endswith(".")
    assert sentence.isprintable()
    assert len(sentence) < 250


def test_a_line_that_is_only_listened_to_can_not_be_modbus() -> None:
    with pytest.raises(UsageError, match="asks its device"):
        parse_wire("modbus:bean=0")
