"""The words of `--wire`."""

from __future__ import annotations

import pytest

from roastside.core.errors import UsageError
from roastside.probes.wire.spec import parse_wire


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
