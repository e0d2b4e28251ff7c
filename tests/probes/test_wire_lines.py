"""What a text line says of bean and air: every number here is what the line itself says."""

from __future__ import annotations

import pytest

from roastside.core.readings import Reading
from roastside.probes.wire.spec import parse_wire
from tests.probes.lines_read import AT_S, probes, read


@pytest.mark.parametrize(
    "line",
    [
        "203.4,231.0",
        " 203.4 , 231.0 ",
        "203.4;231.0",
        "203,4;231,0",
        "203.4\t231.0",
        "203,4\t231,0",
        "203.4 231.0",
        "203.4    231",
        "203,4 231,0",
        "203.4,231.0,55,70",
        '"203.4","231.0"',
        "+203.4,2.31e2",
        "203.4C,231.0C",
        "203.4 °C, 231.0 °C",
        "203.4 °C 231.0 °C",
        "203.4° 231.0°",
        "203.4c 231 c",
        b"203.4\xb0C 231.0\xb0C",
        "2026-03-02 08:14:09 203.4 231.0",
        "2026-03-02T08:14:09+01:00,203.4,231.0",
        "08:14:09.5,203.4,231.0",
        "bean=203.4 air=231.0",
        "bean=203.4, air=231.0",
        "bean = 203,4 air = 231,0",
        "air=231.0;bean=203.4;fan=on",
        "T1:203.4 T2:231.0",
        "Temp1: 203.4 C, Temp2: 231.0 C, uptime: 12",
        '{"bean": 203.4, "air": 231}',
        '{"air_c": "231.0", "bean_c": "203.4 °C", "ok": true, "log": [1, 2]}',
        '{"probes": {"bean": 203.4, "air": 231.0}, "id": 7}',
        "T1: 203.4 C  T2: 231 C",
        "T1: 203,4 C  T2: 231,0 C",
        "T1: 203,4 C, T2: 231,0 C",
        "T1:203,4;T2:231,0",
        "bean=203,4,air=231,0",
        "203,4, 231,0",
        "203,4 C, 231,0 C",
        "Bean Temp: 203.4; Air-Temp: 231.0",
    ],
)
def test_two_probes_are_read_from(line: bytes | str) -> None:
    assert read(line) == [Reading(AT_S, 203.4, 231.0)]


def test_a_lone_number_is_the_bean_probe() -> None:
    assert read("203.4") == [Reading(AT_S, 203.4, None)]
    assert read("temp: 203.4") == [Reading(AT_S, 203.4, None)]


@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"])
def test_lines_may_end_as_any_system_ends_them(end: bytes) -> None:
    readings = parse_wire("lines").feed(b"203.4" + end + b"203.9" + end, AT_S)
    assert [each.bean_c for each in readings] == [203.4, 203.9]


@pytest.mark.parametrize(
    ("line", "bean_c", "air_c"),
    [
        ("nan,231.0", None, 231.0),
        ("203.4,NaN", 203.4, None),
        ("open 231.0", None, 231.0),
        ("ERR;231,0", None, 231.0),
        ("203.4,N/C", 203.4, None),
        ("---,231.0", None, 231.0),
        ("--.-,---", None, None),
        (",231.0", None, 231.0),
        ("203.4,", 203.4, None),
        ("nan", None, None),
        ("Fault", None, None),
        ("bean=open air=231.0", None, 231.0),
        ("bean= , air=231.0", None, 231.0),
        ("bean: -inf", None, None),
        ('{"bean": null, "air": 231.0}', None, 231.0),
        ('{"bean": NaN, "air": Infinity}', None, None),
        ("2048.0,231.0", None, 231.0),  # a chip's full scale: more than a probe can have
        ("-200,231.0", None, 231.0),
        ("1e999,231.0", None, 231.0),
    ],
)
def test_a_missing_value_is_a_missing_reading_and_the_next_field_does_not_take_its_place(
    line: str, bean_c: float | None, air_c: float | None
) -> None:
    assert probes(line) == [(bean_c, air_c)]


@pytest.mark.parametrize(
    "line",
    [
        "",
        "   ",
        ",,",
        "-----",
        "=====",
        "> ",
        "OK",
        "Firmware 1.2 ready",
        "Ready, 2 channels",
        "boot:",
        "ets Jul 29 2019 12:21:46",
        "DATA,203.4,231.0",
        "203.4 volts",
        "203.4.1 231.0",
        "203.4 # bean",
        "# 203.4",
        "0x1F 203.4",
        "fan=50 heater=70",
        "bean=warm",
        "bean=203,4 air=nine",
        '{"bean": true}',
        '{"bean": 203.4',
        '{"bean": {"deep": {"bean": 203.4}}}',
        "[203.4, 231.0]",
        "٢٠٣",
        b"203.4\x00",
        b"\x1b[2J203.4,231.0",
        b"\xff\xfe203.4",
        b"\xc3\x28 203",
        b"203.4\xe9",
        b"{" * 4000,
        b'{"a":' * 800,
    ],
)
def test_what_is_no_reading_line_gives_nothing(line: bytes | str) -> None:
    assert read(line) == []


def test_fahrenheit_and_kelvin_become_celsius() -> None:
    # Fixed points of the scales (BIPM, SI brochure, 9th edition, 2.3.1: t/°C = T/K - 273.15)
    # and their definition: water freezes at 32 °F and boils at 212 °F.
    assert probes("32,212", "lines:unit=F") == [(0.0, 100.0)]
    assert probes("273.15,373.15", "lines:unit=K") == [(0.0, 100.0)]


def test_a_suffix_on_the_value_wins_over_the_unit_of_the_wire() -> None:
    assert probes("212F,100C", "lines:unit=K") == [(100.0, 100.0)]
    assert probes("bean=373.15 K air=212", "lines:unit=f") == [(100.0, 100.0)]


def test_each_probe_may_have_its_own_unit() -> None:
    # Water boils at 212 °F and 373.15 K, as above.
    spec = "lines:bean=1,air=2,exhaust_c=3,bean_unit=F,exhaust_c_unit=k"
    [reading] = read("212,100,373.15", spec)
    assert (reading.bean_c, reading.air_c, reading.extra) == (100.0, 100.0, {"exhaust_c": 100.0})
    assert probes("212,373.15", "lines:unit=K,bean_unit=F") == [(100.0, 100.0)]
    assert probes("100C,212", "lines:bean_unit=K,air_unit=F") == [(100.0, 100.0)]


def test_a_unit_in_a_field_name_is_known_unless_someone_says_otherwise() -> None:
    assert probes('{"bean_f": 212, "air_c": 100}') == [(100.0, 100.0)]
    assert probes("Bean (°F): 212; Air °C: 100") == [(100.0, 100.0)]
    assert probes('{"bean_f": "373.15 K"}') == [(100.0, None)]
    assert probes('{"bean_f": 373.15}', "lines:unit=K") == [(100.0, None)]
    wire = parse_wire("lines")
    assert wire.feed(b"clock,Bean Temp [degF],air_f\n12,212,212\n", AT_S) == [
        Reading(AT_S, 100.0, 100.0)
    ]
    assert probes("TC_K=100", "lines:bean=TC_K") == [(100.0, None)]  # type K, no kelvins


@pytest.mark.parametrize("line", ["203,4", "203,4 °C", "203,40C", "bean=203,4", "T1: 203,40"])
def test_a_lone_decimal_comma_is_no_second_probe(line: str) -> None:
    assert probes(line) == [(203.4, None)]


def test_decimal_commas_that_could_part_two_probes_are_so_when_told() -> None:
    assert probes("203,45") == [(203.0, 45.0)]
    told = "lines:decimal=comma"
    assert probes("203,45", told) == [(203.45, None)]
    assert probes("203,45;231,05", told) == [(203.45, 231.05)]
    assert probes("203,45, 231,05", told) == [(203.45, 231.05)]
    assert probes("nan, 231,05", told) == [(None, 231.05)]
    assert probes("203,45,231,05", told) == []
    assert probes("203.45,", told) == [(203.45, None)]
    assert probes("nan 231,0", "lines:bean=2") == [(231.0, None)]
