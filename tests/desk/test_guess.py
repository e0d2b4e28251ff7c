"""What can be known of a table's columns is guessed; what cannot be is named, to be asked."""

from __future__ import annotations

import pytest

from roastside.desk.guess import Guess, guess
from roastside.desk.layout import Layout
from roastside.desk.table import read_table
from tests.desk import tables


def of(text: str | bytes) -> Guess:
    return guess(read_table(text if isinstance(text, bytes) else text.encode()))


@pytest.mark.parametrize(
    ("text", "layout"),
    [
        (tables.seconds_table(), Layout("Time (s)", "Bean (°C)", "Air (°C)")),
        (
            tables.semicolons(),
            Layout("Time (hh:mm:ss)", "Beans (°C)", "Air (°C)", "Date", time_unit="clock"),
        ),
        (
            tables.tabs_in_utf_16(),
            Layout("Elapsed", "Bean (F)", "Air (F)", event="Event", time_unit="clock", unit="F"),
        ),
        (tables.moments_with_offset(), Layout("timestamp", "bean", "inlet air", time_unit="date")),
    ],
)
def test_a_layout_that_names_and_values_tell(text: str | bytes, layout: Layout) -> None:
    assert of(text) == Guess(layout, ())


def test_two_probes_that_nobody_named_are_asked_for_the_likelier_first() -> None:
    found = of(tables.milliseconds_without_names())
    assert found.unclear == ("bean", "air")
    assert (found.layout.bean, found.layout.air) == ("Temp 2", "Temp 1")
    assert (found.layout.time_unit, found.layout.unit) == ("ms", "F")


def with_scale(scale: float, name: str = "Time") -> str:
    rows = (f"{s * scale:.5f},{bean:.2f}" for s, bean, _ in tables.points())
    return "\n".join([f"{name},Bean", *rows])


@pytest.mark.parametrize(("scale", "unit"), [(1.0, "s"), (1 / 60, "min"), (1000.0, "ms")])
def test_seconds_minutes_and_milliseconds_are_known_by_how_long_a_roast_takes(
    scale: float, unit: str
) -> None:
    assert of(with_scale(scale)).layout.time_unit == unit


def in_unit(convert: float, zero: float, name: str = "Bean") -> str:
    rows = (f"{s},{bean * convert + zero:.2f}" for s, bean, _ in tables.points())
    return "\n".join([f"Time,{name}", *rows])


@pytest.mark.parametrize(
    ("convert", "zero", "unit", "unclear"),
    [(1.0, 0.0, "C", ()), (1.8, 32.0, "F", ()), (1.0, 273.15, "K", ("unit",))],
)
def test_degrees_are_known_by_what_a_roast_reaches_or_asked_for(
    convert: float, zero: float, unit: str, unclear: tuple[str, ...]
) -> None:
    found = of(in_unit(convert, zero))
    assert (found.layout.unit, found.unclear) == (unit, unclear)


def test_what_the_name_says_of_degrees_goes_before_the_values() -> None:
    assert of(in_unit(1.0, 273.15, "Bean [K]")) == Guess(Layout("Time", "Bean [K]", unit="K"), ())


def test_a_counter_of_rows_is_no_time() -> None:
    rows = [f"{n},{s},{bean:.2f}" for n, (s, bean, _) in enumerate(tables.points(), 1)]
    assert of("\n".join(["No.,Time,Bean", *rows])).layout.time == "Time"
    lone = [f"{n},{bean:.2f}" for n, (_, bean, _) in enumerate(tables.points(), 1)]
    assert "time" in of("\n".join(["n,Bean", *lone])).unclear


def test_powers_and_rates_are_no_probes() -> None:
    rows = [f"{s},{bean:.2f},{(s / 7) % 100:.0f},{bean / 10:.1f}" for s, bean, _ in tables.points()]
    found = of("\n".join(["Time,T1,Heater power %,Rate of rise", *rows]))
    assert (found.layout.bean, found.layout.air, found.unclear) == ("T1", "", ())
