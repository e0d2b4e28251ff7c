"""Changing the words of a wire: which probe is which, and the unit."""

from __future__ import annotations

import pytest

from roastside.probes.wire_words import exchanged, in_other_unit


@pytest.mark.parametrize(
    ("wire", "swapped", "other"),
    [
        ("lines", "lines:bean=2,air=1", "lines:bean=2,air=1"),
        ("lines:unit=F", "lines:bean=2,air=1", "lines:bean=2,air=1,unit=F"),
        ("lines:bean=2,air=3,unit=F", "", "lines:bean=3,air=2,unit=F"),
        ("lines:bean=2,air=3,bean_unit=F", "", "lines:bean=3,air=2,air_unit=F"),
        ("modbus:unit=1,bean=0,air=1,function=4", "", "modbus:unit=1,bean=1,air=0,function=4"),
        ("modbus:bean=0,air=1,open_air=99", "", "modbus:bean=1,air=0,open_bean=99"),
        ("lines", "", "lines"),
        ("lines:bean=2", "", "lines:bean=2"),
    ],
)
def test_probes_are_exchanged_and_the_unit_stays(wire: str, swapped: str, other: str) -> None:
    assert exchanged(wire, swapped) == other


@pytest.mark.parametrize(
    ("celsius", "fahrenheit"),
    [
        ("lines", "lines:unit=F"),
        ("lines:bean=2", "lines:bean=2,unit=F"),
        ("lines:bean=t1,air=t2", "lines:bean=t1,air=t2,unit=F"),
    ],
)
def test_the_unit_goes_to_and_fro(celsius: str, fahrenheit: str) -> None:
    assert in_other_unit(celsius) == fahrenheit
    assert in_other_unit(fahrenheit) == celsius


def test_the_unit_may_stand_first_and_other_wires_have_another_way() -> None:
    assert in_other_unit("lines:unit=F,bean=2") == "lines:bean=2"
    assert in_other_unit("modbus:unit=1,bean=0") == "modbus:unit=1,bean=0"


@pytest.mark.parametrize("wire", ["lines:bean=2,air=1,unit=F", "modbus:unit=1,bean=0,air=4"])
def test_exchanged_twice_is_as_before(wire: str) -> None:
    assert exchanged(exchanged(wire, ""), "") == wire
