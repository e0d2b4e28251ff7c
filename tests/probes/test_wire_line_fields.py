"""Which fields of a text line are the probes: chosen by number, name, header line or prefix."""

from __future__ import annotations

import pytest

from roastside.core.readings import Reading
from roastside.probes.wire.spec import parse_wire
from tests.probes.lines_read import AT_S, probes, read

FRAMED = [
    "$TEMP,203.4,231.0*2C",
    "$TEMP,203.4,231.0",
    "!AIVDM,1,203.4*1F",
    "203.4,231.0*5A",
    "203.4,231.0,*5A",
    "bean=203.4 *5A",
    "> 203.4",
    ">203.4,231.0",
    "# 203.4,231.0",
    "#,203.4,231.0",
    "#bean=203.4,air=231.0",
    "% 203.4, 231.0",
    "// 203.4, 231.0",
    "@LOG,203.4,231.0",
]


@pytest.mark.parametrize("line", FRAMED)
@pytest.mark.parametrize(
    "spec", ["lines", "lines:bean=1", "lines:bean=2,air=3", "lines:bean=air,air=bean"]
)
def test_comments_prompts_and_checksummed_lines_are_passed_over(line: str, spec: str) -> None:
    assert read(line, spec) == []


def test_lines_behind_a_prefix_are_read_when_it_is_asked_for() -> None:
    spec = "lines:prefix=$TEMP,bean=1,air=2"
    assert probes("$TEMP,203.4,231.0", spec) == [(203.4, 231.0)]
    assert probes("$TEMP,,231.0", spec) == [(None, 231.0)]
    assert probes("$TEMP: 203.4; 231.0", spec) == [(203.4, 231.0)]
    assert probes("> 203.4 231.0", "lines:prefix=>") == [(203.4, 231.0)]
    assert probes("TEMP203.4", "lines:prefix=TEMP") == []
    for other in ("203.4,231.0", "$TEMPS,203.4,231.0", "x$TEMP,203.4", "$temp,203.4", "$TEMP"):
        assert [each.bean_c for each in read(other, spec) if each.bean_c] == [], other


def test_behind_a_prefix_a_checksum_must_be_right() -> None:
    # The example of message GLL in the maker's help of the Trimble Alloy receiver ("NMEA-0183
    # message: GLL"); its field 5, a time, stands for a probe that is too hot.
    sentence = "$GPGLL,3953.88008971,N,10506.75318910,W,034138.00,A,D*7A"
    whole = "lines:prefix=$GPGLL,bean=5"
    assert probes(sentence, whole) == [(None, None)]
    assert probes(sentence.lower(), whole.lower()) == []  # other bytes, another checksum
    assert read(sentence.replace("7A", "7B"), whole) == []
    for place in range(1, len(sentence) - 3):
        spoiled = sentence[:place] + chr(ord(sentence[place]) ^ 1) + sentence[place + 1 :]
        assert read(spoiled, whole) == [], spoiled


def test_fields_are_chosen_by_number() -> None:
    assert probes("17,231.0,203.4", "lines:bean=3,air=2") == [(203.4, 231.0)]
    assert probes("17;231.0;203.4", "lines:bean=3") == [(203.4, None)]
    assert probes("DATA,203.4,231.0", "lines:bean=2,air=3") == [(203.4, 231.0)]
    assert probes("2026-03-02 203.4 231.0", "lines:bean=2,air=3") == [(203.4, 231.0)]
    assert probes("x=1 y=203.4", "lines:bean=2") == [(203.4, None)]
    assert probes("203.4", "lines:bean=2") == []
    assert probes("Version 1.2 ready", "lines:bean=2") == []


def test_fields_are_chosen_by_name() -> None:
    spec = "lines:bean=BT,air=ET"
    assert probes("BT=203.4 ET=231.0", spec) == [(203.4, 231.0)]
    assert probes("et: 231.0, bt: 203.4", spec) == [(203.4, 231.0)]
    assert probes('{"now": {"BT": 203.4, "ET": "open"}}', spec) == [(203.4, None)]
    assert probes("ET=231.0", spec) == []
    assert probes("203.4,231.0", spec) == []
    assert probes("Bean temp: 203.4", "lines:bean=Bean temp") == [(203.4, None)]


def test_further_channels_are_kept_by_name_and_only_when_they_have_a_value() -> None:
    wire = parse_wire("lines:bean=1,air=2,exhaust_c=3,unit=F")
    first, second = wire.feed(b"400,450,212\n400,450,nan\n", AT_S)
    assert first.extra == {"exhaust_c": 100.0}
    assert second.extra == {}


def test_a_header_line_names_the_columns_below_it() -> None:
    wire = parse_wire("lines")
    assert wire.feed(b"time_s,bean_c,air_c\n0.5,203.4,231.0\n", AT_S) == [
        Reading(AT_S, 203.4, 231.0)
    ]
    wire.begin(mid_line=False)
    assert wire.feed(b"1.0,203.9,231.0\n", AT_S) == [Reading(AT_S, 203.9, 231.0)]
    assert wire.last_unread == ""


def test_a_header_line_serves_a_choice_by_name() -> None:
    wire = parse_wire("lines:bean=BT,air=ET")
    readings = wire.feed(b"clock\tET\tBT\n12\t231.0\t203.4\n12\t231.0\n", AT_S)
    assert readings == [Reading(AT_S, 203.4, 231.0)]


def test_a_commented_header_line_names_the_columns_too() -> None:
    wire = parse_wire("lines")
    assert wire.feed(b"# air_c bean_c\n231.0 203.4\n", AT_S) == [Reading(AT_S, 203.4, 231.0)]


def test_a_wire_of_other_probes_reads_lines_without_a_bean_temperature() -> None:
    wire = parse_wire("lines:air=AT,exhaust_c=EX,unit=F", bean_needed=False)
    assert wire.channels == ("air", "exhaust_c")
    assert wire.feed(b"AT=446 EX=212\nEX=212\nfan=3\n", AT_S) == [
        Reading(AT_S, None, 230.0, {"exhaust_c": 100.0}),
        Reading(AT_S, None, None, {"exhaust_c": 100.0}),
    ]
    wire.feed(b"clock,EX,AT\n12,212,446\n", AT_S)
    assert wire.feed(b"13,212,446\n", AT_S) == [Reading(AT_S, None, 230.0, {"exhaust_c": 100.0})]
