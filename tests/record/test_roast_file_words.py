"""How numbers, text and facts are written into a roast file and read back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.errors import UsageError
from roastside.core.readings import Mark, MarkSource, Reading
from roastside.core.text import clean
from roastside.record.format import (
    Row,
    fact_text,
    head_text,
    number_text,
    parse_fact,
    parse_number,
    parse_text,
    recording_columns,
    row_text,
    text_cell,
)
from roastside.record.reader import RowReader

COLUMNS = recording_columns()


@pytest.mark.parametrize(
    ("number", "text"),
    [(0.0, "0.00"), (41.2, "41.20"), (201.25, "201.25"), (203.456, "203.456"), (7, "7.00")],
)
def test_numbers_are_written_with_two_decimals_or_as_many_as_they_have(
    number: float, text: str
) -> None:
    assert number_text(number) == text


@given(st.floats(allow_nan=False, allow_infinity=False))
@settings(deadline=None, derandomize=True)
def test_every_number_reads_back_exactly(number: float) -> None:
    read = parse_number(number_text(number))
    assert read is not None
    assert math.copysign(1.0, read) == math.copysign(1.0, number)
    assert read == number


@given(st.text())
@settings(deadline=None, derandomize=True)
def test_every_text_reads_back_clean(text: str) -> None:
    assert parse_text(text_cell(text)) == clean(text).replace("＃", "#")


@pytest.mark.parametrize(
    "text", ["=1+1", "+call", "-start", "@sum(a1)", "'quoted'", "''", "'", "'=1"]
)
def test_text_that_a_spreadsheet_would_run_is_guarded_and_reads_back(text: str) -> None:
    assert text_cell(text)[0] == "'"
    assert parse_text(text_cell(text)) == text


@pytest.mark.parametrize("text", ["-5", "+3.5", "70", "heard a little earlier", "it's done"])
def test_numbers_and_ordinary_text_are_written_as_they_are(text: str) -> None:
    assert text_cell(text) == text


def test_an_apostrophe_that_guards_nothing_is_part_of_the_text() -> None:
    assert parse_text("'twas early") == "'twas early"


def test_a_number_sign_cannot_start_a_comment_and_reads_back() -> None:
    assert "#" not in text_cell("bag #3")
    assert parse_text(text_cell("bag #3")) == "bag #3"


def test_escape_sequences_and_line_breaks_never_reach_the_file() -> None:
    assert text_cell("one\r\ntwo\x1b[31m red\x00\x07") == "one two red"


@pytest.mark.parametrize(
    ("text", "fact"),
    [
        ("roasted_weight_g=1281", ("roasted_weight_g", "1281")),
        ("title=House espresso, batch 12", ("title", "House espresso, batch 12")),
        ("colour=", ("colour", "")),
        ("heat = 70 because of rain", None),
        ("heat= 70", None),
        ("Heat=70", None),
        ("more heat=70", None),
        ("smells of toast", None),
        ("", None),
    ],
)
def test_only_a_whole_key_and_value_is_a_fact(text: str, fact: tuple[str, str] | None) -> None:
    assert parse_fact(text) == fact


def test_a_fact_needs_a_well_formed_name() -> None:
    with pytest.raises(UsageError, match="'Roasted Weight' cannot be the name"):
        fact_text("Roasted Weight", "1281")


def test_the_head_is_the_format_line_the_facts_and_the_columns() -> None:
    head = head_text({"title": "Espresso\n# 2", "coffee": ""}, COLUMNS)
    assert head == (
        "# roastside roast file 1\n"
        "# title: Espresso # 2\n"
        "# coffee:\n"
        "time_s,bean_c,air_c,mark,value,note\n"
    )


def test_a_header_key_must_be_well_formed() -> None:
    with pytest.raises(UsageError, match="'a: b' cannot be the name"):
        head_text({"a: b": "x"}, COLUMNS)


def test_further_temperatures_stand_beside_the_air_temperature() -> None:
    columns = recording_columns(["inlet_c"])
    assert columns == ("time_s", "bean_c", "air_c", "inlet_c", "mark", "value", "note")
    reading = Reading(1.0, 200.0, None, {"inlet_c": 250.5, "unknown_c": 1.0})
    assert row_text(reading, columns) == "1.00,200.00,,250.50,,,\n"


@pytest.mark.parametrize("names", [["inlet"], ["bean_c"], ["a_c", "a_c"], ["Inlet_c"], ["a,b_c"]])
def test_a_further_temperature_needs_a_new_name_ending_in_c(names: list[str]) -> None:
    with pytest.raises(UsageError, match="cannot be the column of a further temperature"):
        recording_columns(names)


@pytest.mark.parametrize("bean_c", [None, math.nan, math.inf, -50.01, 500.01])
def test_a_temperature_no_probe_can_have_is_left_empty(bean_c: float | None) -> None:
    assert row_text(Reading(0.5, bean_c, 228.25), COLUMNS) == "0.50,,228.25,,,\n"


def test_a_mark_is_written_as_in_the_contract() -> None:
    mark = Mark(395.5, "first_crack", note="heard a little earlier")
    assert row_text(mark, COLUMNS) == "395.50,,,first_crack,,heard a little earlier\n"
    assert row_text(Mark(240.0, "control", "70", "heat %"), COLUMNS) == (
        "240.00,,,control,70,heat %\n"
    )


def test_a_row_with_a_mark_alone_gives_only_the_mark() -> None:
    assert Row(41.2, mark="charge").items() == [Mark(41.2, "charge", source=MarkSource.FILE)]


def test_a_row_with_both_gives_the_reading_first() -> None:
    row = Row(41.2, 201.0, 228.0, mark="charge", probed=True)
    assert row.items() == [
        Reading(41.2, 201.0, 228.0),
        Mark(41.2, "charge", source=MarkSource.FILE),
    ]


def test_a_row_with_neither_is_a_missing_reading() -> None:
    assert Row(1.0).missing
    assert Row(1.0).items() == [Reading(1.0, None)]


def test_no_part_of_a_header_line_is_a_formula_to_a_spreadsheet() -> None:
    title = "one,=1+1; @two,-3, +4,'=5"
    head = head_text({"title": title}, recording_columns())
    line = head.splitlines()[1]
    for cells in (line.split(","), line.split(";")):
        assert not any(cell.strip().startswith(("=", "+", "-", "@")) for cell in cells)
    reader = RowReader()
    reader.feed(head.encode())
    assert reader.header["title"] == title
