"""What is learned after the roast is appended to its file, and nothing in it is rewritten."""

from __future__ import annotations

from pathlib import Path

import pandas
import pytest

from roastside.core.errors import RecordError, StoreError, UsageError
from roastside.core.readings import Mark, Reading
from roastside.record.facts import append_fact
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder

HEAD = "# roastside roast file 1\n# title: Decaf\ntime_s,bean_c,air_c,mark,value,note\n"
ROWS = "0.00,201.25,,,,\n600.25,215.50,228.00,,,\n598.00,,,drop,,\n"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "decaf.csv"
    path.write_bytes((HEAD + ROWS).encode())
    return path


def test_a_fact_is_one_more_row_at_the_end_of_the_roast(path: Path) -> None:
    append_fact(path, "roasted_weight_g", "1281")
    append_fact(path, "roasted_weight_g", "1280")
    assert path.read_text() == (
        HEAD
        + ROWS
        + "600.25,,,comment,,roasted_weight_g=1281\n"
        + "600.25,,,comment,,roasted_weight_g=1280\n"
    )
    assert read_roast_file(path).header == {"title": "Decaf", "roasted_weight_g": "1280"}


@pytest.mark.parametrize("value", ["#7, “light”", "a=b", "=1", "", "x\ny", "'s"])
def test_any_value_reads_back(path: Path, value: str) -> None:
    append_fact(path, "colour", value)
    assert read_roast_file(path).header["colour"] == value.replace("\n", " ")


def test_a_fact_is_written_in_the_columns_that_the_file_has(tmp_path: Path) -> None:
    path = tmp_path / "table.csv"
    path.write_text("value,mark,time_s,bean_c\n,,1,200\n")
    append_fact(path, "roasted_weight_g", "1281")
    assert path.read_text().endswith("\nroasted_weight_g=1281,comment,1.00,\n")
    assert read_roast_file(path).header == {"roasted_weight_g": "1281"}


TORN_LINES = [
    "6",
    "601.00,21",
    "601.00,215.75,",
    "601.00,,,cha",
    "601.00,,,comment,,roasted_weight_g=1",
    '601.00,,,control,"7',
    '601.00,,,comment,,"he said ""n',
]
WHOLE_LINES = ["601.00,215.75,,,,", '601.00,,,second_crack,,"loud, an', "601.00,,,second_crack,,lo"]


@pytest.mark.parametrize("line", [*TORN_LINES, *WHOLE_LINES])
def test_a_fact_after_a_torn_line_changes_nothing_that_was_read_before(
    path: Path, line: str
) -> None:
    with path.open("a") as file:
        file.write(line)
    before, content = read_roast_file(path), path.read_bytes()
    assert before.torn == (line in TORN_LINES)
    append_fact(path, "roasted_weight_g", "1281")
    append_fact(path, "colour", "58")
    after = read_roast_file(path)
    assert path.read_bytes().startswith(content)
    assert after.rows[: len(before.rows)] == before.rows
    assert after.header == {**before.header, "roasted_weight_g": "1281", "colour": "58"}
    assert (len(after.rows), after.torn) == (len(before.rows) + 2, False)
    table = pandas.read_csv(path, comment="#")
    assert list(table["note"])[-2:] == ["roasted_weight_g=1281", "colour=58"]
    assert table["bean_c"].dtype == float


def test_a_file_that_is_being_recorded_takes_facts_only_from_its_recorder(tmp_path: Path) -> None:
    path = tmp_path / "live.csv"
    recorder = Recorder(path, {})
    recorder.open()
    with pytest.raises(StoreError, match="is being recorded by another roastside"):
        append_fact(path, "colour", "58")
    recorder.append(Reading(0.0, 200.0))
    recorder.append(Mark(1.0, "drop"))
    recorder.close()
    append_fact(path, "colour", "58")
    assert read_roast_file(path).header == {"colour": "58"}


def test_a_fact_needs_columns_to_stand_in(tmp_path: Path) -> None:
    path = tmp_path / "bare.csv"
    path.write_text("time_s,bean_c\n1,200\n")
    with pytest.raises(StoreError, match=r"bare\.csv has no columns mark and note"):
        append_fact(path, "colour", "58")
    assert path.read_text() == "time_s,bean_c\n1,200\n"


def test_a_fact_needs_a_well_formed_name(path: Path) -> None:
    with pytest.raises(UsageError, match="cannot be the name of a fact"):
        append_fact(path, "roasted weight", "1281")
    assert path.read_text() == HEAD + ROWS


def test_a_file_that_is_no_roast_file_takes_no_fact(tmp_path: Path) -> None:
    path = tmp_path / "poem.txt"
    path.write_text("roses are red\n")
    with pytest.raises(RecordError, match="not a roast file"):
        append_fact(path, "colour", "58")
    assert path.read_text() == "roses are red\n"


def test_a_missing_file_takes_no_fact(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="Nothing can be added to"):
        append_fact(tmp_path / "lost.csv", "colour", "58")
    assert list(tmp_path.iterdir()) == []
