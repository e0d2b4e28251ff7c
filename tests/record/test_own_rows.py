"""Rows of adapters without the bean probe: written, and told apart when they are read."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.readings import Item, Reading
from roastside.record.format import OWN_ROWS
from roastside.record.reader import RowReader, read_roast_file
from roastside.record.recorder import Recorder

ITEMS: list[Reading] = [
    Reading(0.0, None, 231.0, partial=True),
    Reading(0.5, 203.0, 231.0, {"exhaust_c": 180.0}),
    Reading(0.6, None, None, {"exhaust_c": 180.5}, partial=True),
    Reading(0.7, None, 231.5, {"exhaust_c": 180.5}, partial=True),
    Reading(1.0, None),
    Reading(1.5, 203.5),
]


def read(text: str) -> list[Item]:
    reader = RowReader()
    rows = reader.feed(text.encode()) + reader.finish()
    return [item for row in rows for item in row.items()]


def test_what_was_recorded_is_read_as_it_was(tmp_path: Path) -> None:
    file = tmp_path / "roast.csv"
    recorder = Recorder(file, {OWN_ROWS: "air_c exhaust_c"}, ["exhaust_c"])
    recorder.open()
    for item in ITEMS:
        recorder.append(item)
    recorder.close()
    roast = read_roast_file(file)
    assert list(roast.items()) == ITEMS
    assert [row.missing for row in roast.rows] == [False, False, False, False, True, False]


@pytest.mark.parametrize(
    ("row", "partial"),
    [
        ("1.0,,231.0,,,,", True),
        ("1.0,,231.0,180.0,,,", True),
        ("1.0,,999,,,,", True),
        ("1.0,203.0,231.0,,,,", False),
        ("1.0,nan,231.0,,,,", False),
        ("1.0,,,,,,", False),
        ("1.0,,231.0,,20.0,,", False),
    ],
)
def test_a_row_lacks_nothing_if_it_has_cells_of_such_columns_only(row: str, partial: bool) -> None:
    head = "# own_rows: air_c exhaust_c\ntime_s,bean_c,air_c,exhaust_c,inlet_c,mark,note\n"
    [item] = read(f"{head}{row}\n")
    assert isinstance(item, Reading)
    assert item.partial == partial


@pytest.mark.parametrize("head", ["", "# own_rows:\n", "# own_rows: bean_c\n"])
def test_without_the_header_line_such_a_row_is_a_missing_reading(head: str) -> None:
    assert read(f"{head}time_s,bean_c,air_c\n1.0,,231.0\n") == [Reading(1.0, None, 231.0)]
    assert read(f"{head}time_s,bean_c,air_c\n1.0,203.0,\n") == [Reading(1.0, 203.0)]
