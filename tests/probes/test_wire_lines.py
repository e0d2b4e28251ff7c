"""What text lines mean: every number here is what the line itself says."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.readings import HIGHEST_C, LOWEST_C, Reading
from roastside.probes.wire.lines import HOLD_S
from roastside.probes.wire.spec import parse_wire
from roastside.probes.wire.splitter import LONGEST_LINE

AT_S = 12.5


def read(data: bytes | str, spec: str = "lines") -> list[Reading]:
    line = data if isinstance(data, bytes) else data.encode()
    return parse_wire(spec).feed(line + b"\n", AT_S)


def probes(data: bytes | str, spec: str = "lines") -> list[tuple[float | None, float | None]]:
    return [(each.bean_c, each.air_c) for each in read(data, spec)]


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


def test_the_last_line_that_made_no_sense_can_be_shown() -> None:
    wire = parse_wire("lines")
    wire.feed(b"203.4,231.0\n\n\x1b[31mHello\x07 there\n203.9,231.0\n", AT_S)
    assert wire.lines_seen == 3
    assert wire.last_unread == "Hello there"
    wire.feed(b"z" * 3000 + b"\n", AT_S)
    assert wire.last_unread.startswith("zzz")
    assert len(wire.last_unread) == 80


def test_a_line_without_end_is_dropped_and_the_next_one_is_read() -> None:
    wire = parse_wire("lines")
    for _ in range(100):
        assert wire.feed(b"9" * 1000, AT_S) == []
    assert wire.feed(b"\n203.4,231.0\n", AT_S) == [Reading(AT_S, 203.4, 231.0)]
    assert wire.feed(b" " * LONGEST_LINE + b"203.4\n", AT_S) == []
    assert wire.feed(b" " * (LONGEST_LINE - 5) + b"203.4\n", AT_S) == [Reading(AT_S, 203.4)]


class TestAfterOpeningInMidLine:
    """`203.25` cut to `3.25` must not become a reading."""

    def test_a_cut_first_line_is_never_a_reading(self) -> None:
        whole = b"203.25,228.5\n"
        for cut in range(len(whole)):
            wire = parse_wire("lines")
            wire.begin(mid_line=True)
            readings = wire.feed(whole[cut:], 1.0) + wire.feed(b"203.5,228.5\n", 2.0)
            expected = [203.25, 203.5] if cut == 0 else [203.5]
            assert [each.bean_c for each in readings] == expected, whole[cut:]

    def test_a_whole_first_line_is_given_with_the_next_and_its_time(self) -> None:
        wire = parse_wire("lines")
        wire.begin(mid_line=True)
        assert wire.feed(b"203.25,228.5\n", 1.0) == []
        assert wire.feed(b"banner\n", 1.2) == []
        assert wire.feed(b"203.5,228.75\n", 1.5) == [
            Reading(1.5, 203.25, 228.5),
            Reading(1.5, 203.5, 228.75),
        ]

    def test_silence_never_makes_a_doubtful_line_a_reading(self) -> None:
        wire = parse_wire("lines")
        wire.begin(mid_line=True)
        assert wire.feed(b"3.25\n", 1.0) == []
        assert wire.feed(b"", 1.0 + HOLD_S / 2) == []
        assert wire.feed(b"", 2.0 + HOLD_S) == []
        assert wire.feed(b"3.25\n", 9.0) == [Reading(9.0, 3.25)]

    def test_a_line_that_comes_too_late_bears_nothing_out(self) -> None:
        for late_s, count in ((HOLD_S, 2), (HOLD_S + 0.1, 1)):
            wire = parse_wire("lines")
            wire.begin(mid_line=True)
            assert wire.feed(b"203.25\n", 1.0) == []
            assert len(wire.feed(b"203.5\n", 1.0 + late_s)) == count

    @pytest.mark.parametrize(
        ("whole", "following"),
        [
            (b"1.4", b"1.4"),  # cut to .4 or 4
            (b"-1.4", b"-1.3"),  # cut to 1.4
            (b"5.85", b"5.90"),  # cut to 5 and to 85
            (b"203.4,204.1,205.0", b"203.5,204.1,205.0"),  # cut to 204.1,205.0
            (b"14 203.4", b"15 203.5"),
            (b"bean=4.5 air=4.5", b"bean=4.5 air=4.5"),
            (b"T1: 4.4 C T2: 4 C", b"T1: 4.4 C T2: 4 C"),
        ],
    )
    def test_no_cut_is_taken_for_whole_because_the_next_line_is_like_it(
        self, whole: bytes, following: bytes
    ) -> None:
        [expected] = parse_wire("lines").feed(following + b"\n", 2.0)
        for cut in range(1, len(whole)):
            wire = parse_wire("lines")
            wire.begin(mid_line=True)
            readings = wire.feed(whole[cut:] + b"\n", 1.0) + wire.feed(following + b"\n", 2.0)
            assert readings == [expected], whole[cut:]

    def test_a_first_line_that_lacks_a_channel_was_cut(self) -> None:
        wire = parse_wire("lines")
        wire.begin(mid_line=True)
        assert wire.feed(b"228.5\n228.0,228.5\n", 1.0) == [Reading(1.0, 228.0, 228.5)]

    def test_an_unfinished_line_is_forgotten_when_the_line_opens_anew(self) -> None:
        wire = parse_wire("lines")
        assert wire.feed(b"20", 1.0) == []
        wire.begin(mid_line=False)
        assert wire.feed(b"3.25\n", 2.0) == [Reading(2.0, 3.25)]


LINES = st.sampled_from(
    [
        b"203.4,231.0",
        b"nan;231,0",
        b"bean=203.4 air=open",
        b'{"bean": 203.4}',
        b"time_s,bean_c",
        b"Hello 5",
        b"203.4\xb0C",
        b"x" * (LONGEST_LINE + 3),
    ]
)
NOISE = st.binary(max_size=40)
STREAM = st.lists(
    st.tuples(st.one_of(LINES, NOISE), st.sampled_from([b"\n", b"\r\n", b"\r", b""])),
    max_size=12,
).map(lambda parts: b"".join(line + end for line, end in parts))


@settings(deadline=None)
@given(STREAM, st.booleans(), st.lists(st.integers(1, 900), max_size=20))
def test_the_pieces_in_which_bytes_come_change_nothing(
    stream: bytes, mid_line: bool, cuts: list[int]
) -> None:
    whole, pieces, singles = (parse_wire("lines") for _ in range(3))
    for wire in (whole, pieces, singles):
        wire.begin(mid_line)
    expected = whole.feed(stream, AT_S)
    at_once, rest = [], stream
    for cut in cuts:
        at_once += pieces.feed(rest[:cut], AT_S)
        rest = rest[cut:]
    at_once += pieces.feed(rest, AT_S)
    one_by_one = [r for byte in stream for r in singles.feed(bytes([byte]), AT_S)]
    assert at_once == one_by_one == expected
    assert whole.lines_seen == pieces.lines_seen == singles.lines_seen
    assert whole.last_unread == pieces.last_unread == singles.last_unread


@settings(deadline=None)
@given(st.binary(max_size=300))
def test_garbage_never_raises_and_gives_only_possible_temperatures(noise: bytes) -> None:
    for spec in ("lines", "lines:bean=2,air=1,unit=F", "lines:bean=a,x_c=3"):
        for reading in parse_wire(spec).feed(noise + b"\n", AT_S):
            for degrees in (reading.bean_c, reading.air_c, *reading.extra.values()):
                assert degrees is None or LOWEST_C <= degrees <= HIGHEST_C


@settings(deadline=None)
@given(st.text(alphabet="0123456789.,;:=-+eECFK°\t {}\"'nabir_", max_size=60))
def test_nearly_right_lines_never_raise(line: str) -> None:
    wire = parse_wire("lines")
    wire.feed(line.encode() + b"\n", AT_S)
    assert wire.lines_seen == bool(line.strip())


@settings(deadline=None)
@given(
    st.lists(st.floats(LOWEST_C, HIGHEST_C).map(lambda c: round(c, 2)), min_size=1, max_size=8),
    st.lists(st.binary(max_size=30).map(lambda noise: b"\x01" + noise), min_size=8, max_size=8),
)
def test_valid_lines_between_garbage_are_all_read(beans_c: list[float], noise: list[bytes]) -> None:
    stream = b""
    for bean_c, garbage in zip(beans_c, noise, strict=False):
        stream += b"%.2f\n" % bean_c + garbage.replace(b"\n", b"").replace(b"\r", b"") + b"\n"
    assert [each.bean_c for each in parse_wire("lines").feed(stream, AT_S)] == beans_c
