"""The words of `--wire`."""

from __future__ import annotations

import pytest

from roastside.core.errors import UsageError
from roastside.probes.wire.poll import Poll
from roastside.probes.wire.spec import parse_poll, parse_wire


@pytest.mark.parametrize(
    "text",
    [
        "lines",
        " lines ",
        "lines:",
        "lines:unit=f",
        "lines:bean=1,air=2,unit=F",
        "lines:bean=BT,air=ET,unit=C",
        "lines: bean = 1, exhaust_c = Exhaust temp",
        "lines:bean=1,air=2,bean_unit=F,air_unit=k",
        "lines:bean_unit=F",
        "lines:prefix=$TEMP,decimal=comma",
        r"lines:poll=READ\r\n,every=250",
        r"millivolts:bean=1,cold=2,type=K,prefix=>,decimal=point,poll=?",
    ],
)
def test_wires_that_are_understood(text: str) -> None:
    wire = parse_wire(text)
    assert (wire.lines_seen, wire.last_unread) == (0, "")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "lines, modbus, millivolts"),
        ("line", "lines, modbus, millivolts"),
        ("modbus:unit=1,bean=0", "modbus asks its device"),
        ("millivolts", "lacks bean, cold, type"),
        ("lines:units=F", "bean, air, unit"),
        ("lines:bean=1,bean_c=2", "bean, air, unit"),
        ("lines:unit=R,bean=1", "C, F or K"),
        ("lines:bean", "name=value"),
        ("lines:bean=", "name=value"),
        ("lines:bean=1,,air=2", "name=value"),
        ("lines:bean=1,bean=2", "twice"),
        ("lines:bean=0", "count from 1"),
        ("lines:bean=-1", "count from 1"),
        ("lines:bean=" + "9" * 5000, "count from 1"),
        ("lines:air=2", "which field is the bean probe"),
        ("lines:bean=1,air=1", "same field"),
        ("lines:bean=1\x1b[2J,x=2", "bean, air, unit"),
        ("lines:bean=1,air_unit=F", 'no "air"'),
        ("lines:bean=1,bean_unit=R", "C, F or K"),
        ("lines:prefix=a b", "without spaces"),
        ("lines:prefix=é", "plain characters"),
        ("lines:prefix=" + "x" * 41, "plain characters"),
        ("lines:decimal=dot", "point or comma"),
        ("lines:every=500", "no poll"),
        ("lines:poll=READ,every=49", "from 50 to 10000"),
        ("lines:poll=READ,every=10001", "from 50 to 10000"),
        ("lines:poll=READ,every=fast", "from 50 to 10000"),
        (r"lines:poll=READ\q", "cannot be sent"),
        (r"lines:poll=READ\x0", "cannot be sent"),
        ("lines:poll=READ\\", "cannot be sent"),
        ("lines:poll=é", "cannot be sent"),
        ("lines:poll=" + "x" * 201, "cannot be sent"),
        ("millivolts:cold=2,type=K,air=1", "which field is the bean probe"),
    ],
)
def test_a_wire_that_is_not_understood_is_refused_with_a_sentence(text: str, says: str) -> None:
    with pytest.raises(UsageError) as refusal:
        parse_wire(text)
    sentence = str(refusal.value)
    assert says in sentence
    assert sentence.endswith(".")
    assert sentence.isprintable()
    assert len(sentence) < 250


def test_a_poll_is_sent_only_when_it_is_asked_for() -> None:
    assert parse_poll("lines") is None
    assert parse_poll("lines:bean=1,air=2") is None
    assert parse_poll("modbus:bean=0") is None
    assert parse_poll("lines:poll=READ") == Poll(b"READ", 0.5)
    assert parse_poll(r"lines:bean=1,poll=a\r\n\t\\\x2c\x00\xFF=?,every=50") == Poll(
        b"a\r\n\t\\,\x00\xff=?", 0.05
    )


def test_the_wire_of_another_adapter_may_do_without_the_bean_probe() -> None:
    assert parse_wire("lines:air=2", bean_needed=False).channels == ("air",)
    spec = "millivolts:exhaust_c=1,cold=2,type=K"
    assert parse_wire(spec, bean_needed=False).channels == ("exhaust_c",)
    assert parse_wire("lines", bean_needed=False).channels == ("bean", "air")
    assert parse_wire("lines:x_c=4,bean=1").channels == ("x_c", "bean")
