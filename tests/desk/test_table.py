"""The table in a file is found, whatever stands above it and however its cells are parted."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.desk.table import Table, read_table
from roastside.desk.table_error import TableError
from tests.desk import tables


def test_a_plain_table() -> None:
    table = read_table(tables.seconds_table().encode())
    assert table.names == ("Time (s)", "Bean (°C)", "Air (°C)")
    assert table.cells("Time (s)", 2) == ["0.0", "1.0"]
    assert (table.decimal, table.rows[0][0]) == (".", 2)
    assert len(table.rows) == len(tables.points())


def test_semicolons_decimal_commas_a_preamble_and_a_line_of_units() -> None:
    table = read_table(tables.semicolons())
    assert table.names == ("Date", "Time (hh:mm:ss)", "Beans (°C)", "Air (°C)")
    assert table.decimal == ","
    assert table.rows[0][0] == 6
    assert table.above[0] == "Workshop logger 4"


def test_tabs_in_utf_16() -> None:
    assert read_table(tables.tabs_in_utf_16()).names == ("Elapsed", "Bean (F)", "Air (F)", "Event")


def test_names_that_are_numbers() -> None:
    table = read_table(b"Time,1,2\n0,200,210\n1,201,211\n2,202,212\n")
    assert (table.names, len(table.rows)) == (("Time", "1", "2"), 3)


def test_a_table_without_names_gets_some() -> None:
    table = read_table(b"0,200\n1,201\n2,202\n")
    assert (table.names, len(table.rows)) == (("column 1", "column 2"), 3)


def test_names_that_are_there_twice_or_empty_are_told_apart() -> None:
    table = read_table(b"Time,Temp,Temp,\n0,200,210,1\n1,201,211,1\n")
    assert table.names == ("Time", "Temp", "Temp (3)", "column 4")


def test_quoted_cells_may_hold_the_separator() -> None:
    table = read_table(b'Time,"Temp, bean"\n0,"200,5"\n1,"201,5"\n')
    assert (table.names, table.decimal) == (("Time", "Temp, bean"), ",")


def test_the_same_columns_have_the_same_fingerprint_and_others_another() -> None:
    def of(names: str) -> str:
        return read_table(f"{names}\n0,1\n2,3\n".encode()).fingerprint

    assert of("Time,Bean") == of("time,BEAN")
    assert of("Time,Bean") != of("TimeB,ean")


@pytest.mark.parametrize(
    "data", [b"", b"\n\n", b"hello\nworld\n", b"\x89PNG\0\0", b'{"a": 1}', "ä".encode("latin-1")]
)
def test_what_is_no_table_is_refused(data: bytes) -> None:
    with pytest.raises(TableError):
        read_table(data)


@given(st.binary() | st.text().map(str.encode))
def test_no_bytes_do_more_than_be_refused(data: bytes) -> None:
    try:
        table = read_table(data)
    except TableError as refused:
        assert str(refused)
    else:
        assert isinstance(table, Table)
        assert len(set(table.names)) == len(table.names)
