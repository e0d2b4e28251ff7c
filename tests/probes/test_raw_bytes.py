"""Raw bytes beside what is read from them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.readings import Reading
from roastside.probes.raw import Overheard, RawLine, shown_bytes
from roastside.probes.wire.spec import parse_wire


@pytest.mark.parametrize(
    ("data", "shown"),
    [
        (b"203.4,228.5\r\n", r"203.4,228.5\r\n"),
        (b"a\tb\\c", r"a\tb\\c"),
        (b"\x00\x1b[2J\xff", r"\x00\x1b[2J\xff"),
        ("20 °C".encode(), r"20 \xc2\xb0C"),
        (b"", ""),
    ],
)
def test_text_is_shown_as_it_is_and_everything_else_by_its_code(data: bytes, shown: str) -> None:
    assert shown_bytes(data) == shown


def test_what_does_not_fit_is_cut_between_bytes_with_an_ellipsis() -> None:
    assert shown_bytes(b"0123456789", 10) == "0123456789"
    assert shown_bytes(b"0123456789x", 10) == "012345678…"
    assert shown_bytes(b"\xff" * 3, 10) == r"\xff\xff…"


@given(st.binary(max_size=200), st.integers(2, 80))
def test_what_is_shown_is_printable_and_fits(data: bytes, limit: int) -> None:
    shown = shown_bytes(data, limit)
    assert shown.isprintable()
    assert len(shown) <= limit


def test_every_line_stands_beside_its_reading() -> None:
    wire = Overheard(parse_wire("lines"))
    assert wire.feed(b"hello\r\n\r\n203.4,2", 1.0) == []
    assert wire.feed(b"28.5\n204", 2.0) == [Reading(2.0, 203.4, 228.5)]
    assert list(wire.lines) == [
        RawLine(b"hello\r\n"),
        RawLine(b"203.4,228.5\n", Reading(2.0, 203.4, 228.5)),
    ]
    assert (wire.lines_seen, wire.last_unread) == (2, "")
    wire.feed(b",230\nhello\n", 3.0)
    assert (wire.lines_seen, wire.last_unread) == (4, "hello")


@given(st.lists(st.binary(max_size=40), max_size=12))
def test_the_readings_are_those_of_the_wire_it_listens_to(pieces: list[bytes]) -> None:
    alone, overheard = parse_wire("lines"), Overheard(parse_wire("lines"))
    for at_s, piece in enumerate([*pieces, b"\n20.5,21.5\n"]):
        assert overheard.feed(piece, at_s) == alone.feed(piece, at_s)
    assert overheard.lines_seen == alone.lines_seen


def test_only_the_newest_lines_are_kept_if_so_wished_and_half_a_line_is_forgotten_anew() -> None:
    wire = Overheard(parse_wire("lines"), keep=2)
    wire.feed(b"1\n2\n3\n4", 0.0)
    wire.begin(mid_line=False)
    wire.feed(b"5\n", 1.0)
    assert [line.data for line in wire.lines] == [b"3\n", b"5\n"]


def test_a_line_that_never_ends_is_not_hoarded() -> None:
    wire = Overheard(parse_wire("lines"))
    for _ in range(100):
        wire.feed(b"x" * 1000, 0.0)
    assert wire.feed(b"\n20.5\n", 1.0) == [Reading(1.0, 20.5)]
    assert sum(len(line.data) for line in wire.lines) < 10_000
