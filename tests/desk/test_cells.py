"""A cell of a table says a number, a time or a date, however it is written."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.desk.cells import clock_s, decimal_of, moment, number, unit_in

MARCH = date(2026, 3, 4)


@pytest.mark.parametrize(
    ("cell", "decimal", "value"),
    [
        ("201.5", ".", 201.5),
        ("201,5", ",", 201.5),
        ("1,234.5", ".", 1234.5),
        ("1.234,5", ",", 1234.5),
        (" 395.2 °F ", ".", 395.2),
        ("−3", ".", -3.0),
        (".5", ".", 0.5),
        ("201,5", ".", None),
        ("1.2.3", ".", None),
        ("open", ".", None),
        ("", ".", None),
        ("nan", ".", None),
    ],
)
def test_numbers(cell: str, decimal: str, value: float | None) -> None:
    assert number(cell, decimal) == value


def test_the_unit_behind_a_number_is_told() -> None:
    assert [unit_in(cell) for cell in ("395 °F", "201.5c", "300K", "201.5")] == ["F", "C", "K", ""]


def test_most_cells_tell_the_decimal_sign() -> None:
    assert decimal_of(["0,5", "201,25", "12.3"]) == ","
    assert decimal_of(["0.5", "1", "2"]) == "."


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [
        ("1:05", 65.0),
        ("75:10", 4510.0),
        ("1:02:03.5", 3723.5),
        ("-0:30", -30.0),
        ("08:14:09 PM", 72849.0),
        ("12:00:00 am", 0.0),
        ("0:75", None),
        ("1:75:00", None),
        ("8:14", 494.0),
        ("noon", None),
    ],
)
def test_clocks(cell: str, seconds: float | None) -> None:
    assert clock_s(cell) == seconds


@pytest.mark.parametrize(
    ("cell", "day", "clock"),
    [
        ("2026-03-04T07:28:09+01:00", MARCH, 26889.0),
        ("2026/3/4 7:28:09", MARCH, 26889.0),
        ("04.03.2026", MARCH, None),
        ("04.03.26 07:28:09,5", MARCH, 26889.5),
        ("13/03/2026", date(2026, 3, 13), None),
        ("03/13/2026 1:00:00 PM", date(2026, 3, 13), 46800.0),
    ],
)
def test_dates(cell: str, day: date, clock: float | None) -> None:
    found = moment(cell, MARCH)
    assert found is not None
    assert (found.day, found.clock_s) == (day, clock)


def test_of_day_and_month_in_doubt_the_nearer_date_is_taken() -> None:
    for near in (date(2026, 3, 4), date(2026, 4, 3)):
        found = moment("03/04/2026", near)
        assert found is not None
        assert found.day == near


@pytest.mark.parametrize("cell", ["2026-13-45", "31.02.2026", "12345", "2026-03-04 noon", ""])
def test_what_is_no_date(cell: str) -> None:
    assert moment(cell, MARCH) is None


@given(st.text())
def test_no_cell_is_too_strange_to_be_looked_at(cell: str) -> None:
    number(cell), number(cell, ","), clock_s(cell), moment(cell, MARCH), unit_in(cell)
