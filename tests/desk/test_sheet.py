"""No cell that people are given is run as a formula by their spreadsheet."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.desk.roast_copy import safe_copy
from roastside.desk.sheet import safe_cell
from roastside.record.format import FORMAT_LINE

# CWE-1236 and OWASP, "CSV Injection": cells that begin with one of these are run or hide one.
STARTS = "=+-@\t\r\n＝＋－＠"


@pytest.mark.parametrize("start", STARTS)
def test_a_cell_that_begins_like_a_formula_becomes_text(start: str) -> None:
    assert safe_cell(f"{start}HYPERLINK(A1)") == f"'{start}HYPERLINK(A1)"


@pytest.mark.parametrize("text", ["  =1+1", "'=1+1", "\ufeff=1+1", "\u00a0@SUM(A1)"])
def test_what_stands_before_the_formula_does_not_hide_it(text: str) -> None:
    assert safe_cell(text) == f"'{text}"


@pytest.mark.parametrize(
    "text", ["-12.5", "+3", "1,5", "-1e-5", "House espresso", "", "a=b", "5-3"]
)
def test_numbers_and_harmless_words_stay_as_they_are(text: str) -> None:
    assert safe_cell(text) == text


def test_a_second_line_of_a_cell_is_no_cell_of_its_own() -> None:
    table = io.StringIO()
    csv.writer(table).writerows([[safe_cell("good\n=HYPERLINK(A1)"), safe_cell("\n=1+1")]])
    (row,) = csv.reader(io.StringIO(table.getvalue(), newline=""))
    assert row == ["good\n=HYPERLINK(A1)", "'\n=1+1"]


@given(st.text())
def test_no_text_begins_like_a_formula_afterwards(text: str) -> None:
    safe = safe_cell(text)
    number = safe.replace(",", ".").replace("e", "").replace("E", "").strip("+-.")
    assert (
        not safe.startswith(tuple(STARTS))
        or number.replace("-", "").replace("+", "").replace(".", "").isdecimal()
    )
    assert safe in (text, f"'{text}")


def test_a_copied_roast_is_the_same_to_the_byte_if_nothing_in_it_is_a_formula() -> None:
    data = f"{FORMAT_LINE}\n# title: a-b, +c d\ntime_s,bean_c,mark,note\n-1.00,20.00,,\n".encode()
    assert safe_copy(data.replace(b", +c", b", c")) == data.replace(b", +c", b", c")


def test_a_roast_of_someone_elses_is_copied_without_its_formulas() -> None:
    data = (
        f"{FORMAT_LINE}\n# title: House,=HYPERLINK(A1)\ntime_s,bean_c,mark,note\n"
        "0.00,20.00,,\n-5.00,,comment,\"=cmd|'/C calc'!A0, and more\"\n"
    ).encode()
    safe = safe_copy(data).decode()
    cells = [cell for row in csv.reader(io.StringIO(safe)) for cell in row]
    assert "'=HYPERLINK(A1)" in cells
    assert "'=cmd|'/C calc'!A0, and more" in cells
    assert "-5.00" in cells, "numbers stay numbers"
