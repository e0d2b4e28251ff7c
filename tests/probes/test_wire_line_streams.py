"""Lines out of a stream of bytes: cut, endless, garbled, and in whatever pieces they come."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.readings import HIGHEST_C, LOWEST_C, Reading
from roastside.probes.wire.lines import HOLD_S
from roastside.probes.wire.spec import parse_wire
from roastside.probes.wire.splitter import LONGEST_LINE
from tests.probes.lines_read import AT_S


def test_the_last_line_that_made_no_sense_can_be_shown() -> None:
    wire = parse_wire("lines")
    wire.feed(b"203.4,231.0\n\n\x1b[31mHello\x07 there\n", AT_S)
    assert wire.lines_seen == 2
    assert wire.last_unread == "Hello there"
    wire.feed(b"203.9,231.0\n", AT_S)
    assert wire.last_unread == ""
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
