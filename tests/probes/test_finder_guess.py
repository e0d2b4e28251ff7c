"""Which wire fits a device's lines. All devices here are invented."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.probes.judge import judge
from roastside.probes.wire.spec import parse_wire
from roastside.probes.wire_guess import WireGuess, guess_wire


def guess(*lines: str) -> WireGuess:
    return guess_wire([line.encode() + b"\r\n" for line in lines])


def six(line: Callable[[int], str]) -> WireGuess:
    return guess(*(line(n) for n in range(6)))


@pytest.mark.parametrize(
    ("line", "wire", "swapped"),
    [
        ("203.4", "lines", ""),
        ("203.4,231.0", "lines", "lines:bean=2,air=1"),
        ("203.4 231.0", "lines", "lines:bean=2,air=1"),
        ("bean=203.4 air=231.0", "lines", "lines:bean=air,air=bean"),
        ("air=231.0 bean=203.4", "lines", "lines:bean=air,air=bean"),
        ("air=231.0 drum=203.4", "lines:bean=drum,air=air", "lines:bean=air,air=drum"),
        ("DATA,203.4,231.0", "lines:bean=2,air=3", "lines:bean=3,air=2"),
        ("08:14:09,203.4,231.0", "lines", "lines:bean=3,air=2"),
        ("1;203.4;231.0;0;OK", "lines:bean=2,air=3", "lines:bean=3,air=2"),
        ('{"drum": 203.4, "hood": 231}', "lines:bean=drum,air=hood", "lines:bean=hood,air=drum"),
        ('{"temp": 203.4, "ambient": 24.5}', "lines", ""),
        ('{"drum": 203.4, "humidity": 45.0}', "lines:bean=drum", ""),
        ("nan", "lines", ""),
        ("4.096 mV,25.0", "millivolts:bean=1,cold=2,type=K", ""),
        (
            "t=25.0 one=4.096mV two=5.0mV",
            "millivolts:bean=one,air=two,cold=t,type=K",
            "millivolts:bean=two,air=one,cold=t,type=K",
        ),
    ],
)
def test_fields_are_found_by_place_or_by_name(line: str, wire: str, swapped: str) -> None:
    found = guess(line, line, line)
    assert (found.wire, found.swapped) == (wire, swapped)


@pytest.mark.parametrize(
    "clock",
    [
        lambda n: str(n),
        lambda n: str(17 + 2 * n),
        lambda n: f"{120 + 500 * n + n % 3}",
        lambda n: f"{1.5 + 0.5 * n:.3f}",
    ],
    ids=["counter", "by twos", "milliseconds with jitter", "seconds"],
)
def test_a_first_field_that_counts_up_is_no_probe(clock: Callable[[int], str]) -> None:
    found = six(lambda n: f"{clock(n)},{24 + 0.25 * (n % 2)},23.5")
    assert found.wire == "lines:bean=2,air=3"
    assert any("Field 1 counts up" in note for note in found.notes)


def test_beans_that_warm_up_steadily_are_still_the_beans() -> None:
    # Both probes rise, or the only one does: nothing says that this is a clock.
    assert six(lambda n: f"{150 + n},{170 + n}").wire == "lines"
    assert six(lambda n: f"{150 + n}").wire == "lines"
    # As a roast does, by steps that are not even.
    rising = [150.0, 150.25, 150.25, 150.5, 150.75, 150.75]
    assert six(lambda n: f"{rising[n]},200.5").wire == "lines"


def test_a_copy_in_fahrenheit_is_no_second_probe() -> None:
    # 24 °C is 75.2 °F by definition: °F = °C x 9/5 + 32.
    bare = six(lambda n: f"{24 + 0.5 * n},{75.2 + 0.9 * n:.2f}")
    marked = guess(*["24.0C,75.2F"] * 3)
    for found in (bare, marked):
        assert found.wire == "lines:bean=1"
        assert found.in_fahrenheit == ""
        assert any("Field 2 is the same temperature in °F" in note for note in found.notes)


@pytest.mark.parametrize(
    ("lines", "wire", "said"),
    [
        (["72.5F,70.0F"], "lines", "marks its values °F"),
        (["345.6K"], "lines", "marks its values K"),
        (["24.0 C"], "lines", "marks its values °C"),
        (["drum_f=72.5"], "lines:bean=drum_f", 'name "drum_f" says °F'),
        (["bean_f=72.5 air_c=22.5"], "lines", 'name "bean_f" says °F'),
        (["tip (F),hood (C)", "80.5,22.5"], "lines:bean_unit=F", "says °F"),
        (["tip (F),hood (F)", "72.5,70.1"], "lines:unit=F", "says °F"),
        (["Kitchen thermometer, Fahrenheit", "72.5,70.1"], "lines:unit=F", "own words say °F"),
        (["ready (°C)", "24.5,23.9"], "lines", "own words say °C"),
        (["480.5,520.0"], "lines:unit=F", "520 is too hot for °C"),
    ],
)
def test_the_unit_is_known_on_good_evidence_only(lines: list[str], wire: str, said: str) -> None:
    found = guess(*lines, lines[-1], lines[-1])
    assert found.wire == wire
    assert found.in_fahrenheit == ""
    assert any(said in note for note in found.notes)


@pytest.mark.parametrize("line", ["72.5,70.1", "24.5,23.5", "392.0,480.0", "f1=72.5 f2=70.1"])
def test_without_evidence_nothing_is_claimed_but_the_other_unit_is_offered(line: str) -> None:
    found = guess(line, line, line)
    assert "unit=F" not in found.wire
    assert found.in_fahrenheit.endswith("unit=F")
    assert not any("°" in note for note in found.notes)


def test_words_of_both_units_are_no_evidence_for_one() -> None:
    found = guess("select °C or °F", "72.5,70.1", "72.5,70.1")
    assert (found.wire, found.in_fahrenheit) == ("lines", "lines:unit=F")


def test_a_header_line_names_the_columns() -> None:
    rows = [f"{10 + n / 2},{300 + n % 2},{203 + n / 4},24.5" for n in range(6)]
    found = guess("seconds,fan,tip (C),ambient", *rows)
    assert found.wire == "lines:bean=3"
    assert found.in_fahrenheit == ""


@pytest.mark.parametrize("header", ["time,air_f,bean_f", "#time,tip (F),ambient"])
def test_what_a_header_told_is_read_without_it_too(header: str) -> None:
    rows = b"".join(b"%d,212.5,%d\n" % (n, 75 + n % 2) for n in range(6))
    wire = judge(header.encode() + b"\n" + rows).guess.wire
    with_header, without = parse_wire(wire), parse_wire(wire)
    with_header.feed(header.encode() + b"\n", 0.0)
    assert with_header.feed(rows, 1.0) == without.feed(rows, 1.0) != []


def test_a_probe_that_gives_nothing_is_known_to_be_open() -> None:
    assert guess("nan,23.5", "nan,23.5").open
    assert not guess("24.5,nan", "24.5,nan").open


def test_numbers_that_are_no_degrees_are_named() -> None:
    found = guess("2034,2310", "2035,2311")
    assert any("2311 are too large" in note for note in found.notes)


def test_voltages_alone_are_not_enough() -> None:
    found = guess("4.096mV", "4.097mV")
    assert any("without the temperature of its terminals" in note for note in found.notes)


@given(st.lists(st.binary(max_size=60), max_size=8))
def test_no_bytes_make_it_stumble(lines: list[bytes]) -> None:
    assert guess_wire(lines).wire.startswith(("lines", "millivolts"))
