"""What a roast file means, whatever program saved it."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.readings import Mark, MarkSource, Reading
from roastside.record.format import Row
from roastside.record.head import LONGEST_LINE_BYTES
from roastside.record.reader import RoastFile, RowReader, read_roast_file

CONTRACT = """\
# roastside roast file 1
# title: House espresso, batch 12
# coffee: Alder Hill natural
# started_at: 2026-03-02T08:14:09+01:00
# charge_weight_g: 1500
# roasted_weight_g: 1281
# reference: house-espresso v3
time_s,bean_c,air_c,mark,value,note
0.00,201.25,228.50,,,
0.50,201.00,228.25,,,
41.20,,,charge,,
398.00,,,first_crack,,
395.50,,,first_crack,,heard a little earlier
240.00,,,control,70,heat %
430.00,,,drop,,
430.00,,,undo drop,,pressed by mistake
"""
COLUMNS = "time_s,bean_c,air_c,mark,value,note\n"


def read(tmp_path: Path, text: str | bytes) -> RoastFile:
    path = tmp_path / "batch-12.csv"
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_roast_file(path)


def rows_of(text: str) -> list[Row]:
    reader = RowReader()
    return reader.feed(text.encode()) + reader.finish()


def test_the_example_of_the_contract_reads_as_it_says(tmp_path: Path) -> None:
    found = read(tmp_path, CONTRACT)
    assert found.header == {
        "title": "House espresso, batch 12",
        "coffee": "Alder Hill natural",
        "started_at": "2026-03-02T08:14:09+01:00",
        "charge_weight_g": "1500",
        "roasted_weight_g": "1281",
        "reference": "house-espresso v3",
    }
    assert found.title == "House espresso, batch 12"
    assert found.marks() == {"charge": 41.2, "first_crack": 395.5}
    assert found.charge_s == 41.2
    assert (found.skipped, found.torn) == (0, False)
    assert list(found.items()) == [
        Reading(0.0, 201.25, 228.5),
        Reading(0.5, 201.0, 228.25),
        Mark(41.2, "charge", source=MarkSource.FILE),
        Mark(398.0, "first_crack", source=MarkSource.FILE),
        Mark(395.5, "first_crack", "", "heard a little earlier", MarkSource.FILE),
        Mark(240.0, "control", "70", "heat %", MarkSource.FILE),
        Mark(430.0, "drop", source=MarkSource.FILE),
        Mark(430.0, "undo drop", "", "pressed by mistake", MarkSource.FILE),
    ]


def test_a_mark_set_again_after_its_undo_stands(tmp_path: Path) -> None:
    found = read(tmp_path, CONTRACT + "431.00,,,drop,,\n")
    assert found.marks() == {"charge": 41.2, "first_crack": 395.5, "drop": 431.0}


def test_a_file_without_header_is_called_by_its_name(tmp_path: Path) -> None:
    found = read(tmp_path, "time_s,bean_c\n0,200\n")
    assert (found.header, found.title, found.charge_s) == ({}, "batch-12", None)
    assert found.rows == (Row(0.0, 200.0, probed=True),)


@pytest.mark.parametrize("piece", [1, 2, 7, 10_000])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
@pytest.mark.parametrize("start", ["", "\ufeff"])
def test_line_ends_byte_order_mark_and_pieces_make_no_difference(
    start: str, end: str, piece: int
) -> None:
    text = CONTRACT.replace("heard", "«hörd», “早い”,").replace("«", '"').replace("earlier", 'e"')
    data = (start + text.replace("\n", end)).encode()
    reader = RowReader()
    rows = [row for at in range(0, len(data), piece) for row in reader.feed(data[at : at + piece])]
    assert rows + reader.finish() == rows_of(text)
    assert reader.header["title"] == "House espresso, batch 12"
    assert len(rows) == 8


def test_columns_stand_in_any_order_and_unknown_ones_are_kept() -> None:
    text = "note,fan,mark,inlet_c,bean_c,time_s,,\n,3,charge,250.5,199,12,,\nhi,,,x,,13,,\n"
    assert rows_of(text) == [
        Row(12.0, 199.0, None, {"inlet_c": 250.5}, "charge", probed=True, other={"fan": "3"}),
        Row(13.0, note="hi", probed=True),
    ]


def test_a_file_of_marks_needs_no_temperatures() -> None:
    assert rows_of("mark,time_s\ncharge,3\n") == [Row(3.0, mark="charge")]


def test_an_unknown_mark_is_kept() -> None:
    assert rows_of(COLUMNS + "3,,,lights on,,\n") == [Row(3.0, mark="lights on")]


@pytest.mark.parametrize(
    "cell", ["", " ", "nan", "inf", "-inf", "open", "-50.01", "500.01", "1_0", "2e2e", '"201,5"']
)
def test_a_cell_without_a_usable_temperature_is_a_missing_reading(cell: str) -> None:
    (row,) = rows_of(f"time_s,bean_c,air_c\n0.5,{cell},220\n")
    assert row.missing
    assert row.items() == [Reading(0.5, None, 220.0)]


@pytest.mark.parametrize(("cell", "bean_c"), [("-50", -50.0), ("500", 500.0), (" 2e2 ", 200.0)])
def test_a_cell_at_the_limits_is_a_reading(cell: str, bean_c: float) -> None:
    assert rows_of(f"time_s,bean_c\n0.5,{cell}\n") == [Row(0.5, bean_c, probed=True)]


def test_a_mark_beside_a_failed_reading_gives_both() -> None:
    (row,) = rows_of(COLUMNS + "3,err,,charge,,\n")
    assert row.items() == [Reading(3.0, None), Mark(3.0, "charge", source=MarkSource.FILE)]


@pytest.mark.parametrize("time", ["", "soon", "nan", "inf", "1e300", "time_s"])
def test_a_row_without_a_usable_time_is_skipped_and_counted(tmp_path: Path, time: str) -> None:
    found = read(tmp_path, f"{COLUMNS}1,200,,,,\n{time},201,,,,\n2,202,,,,\n")
    assert [row.bean_c for row in found.rows] == [200.0, 202.0]
    assert found.skipped == 1


def test_blank_lines_and_later_comments_are_ignored(tmp_path: Path) -> None:
    text = f'\n,,\n{COLUMNS}\n1,200,,,,\n,,,,,\n# title: no "longer\n  \n2,201,,,,\n'
    found = read(tmp_path, text)
    assert [row.time_s for row in found.rows] == [1.0, 2.0]
    assert (found.skipped, found.header) == (0, {})


def test_a_row_may_be_shorter_or_longer_than_the_columns() -> None:
    assert rows_of(COLUMNS + "1,200\n2,201,,drop,,,,more,\n") == [
        Row(1.0, 200.0, probed=True),
        Row(2.0, 201.0, mark="drop", probed=True),
    ]


def test_a_quoted_note_may_run_over_several_lines() -> None:
    text = COLUMNS + '1,200,,comment,"a ""b"",\n\nc","d\r\ne"\n2,201,,,,\n'
    assert rows_of(text) == [
        Row(1.0, 200.0, mark="comment", value='a "b", c', note="d e", probed=True),
        Row(2.0, 201.0, probed=True),
    ]


def test_a_quote_left_open_by_mistake_swallows_no_reading() -> None:
    text = COLUMNS + '1,,,comment,,"great smell\n2,201,,,,\n3,,,comment,,"a, b"\n4,202,,,,\n'
    assert rows_of(text) == [
        Row(1.0, mark="comment", note="great smell"),
        Row(2.0, 201.0, probed=True),
        Row(3.0, mark="comment", note="a, b"),
        Row(4.0, 202.0, probed=True),
    ]


def test_a_quote_left_open_in_the_last_row_keeps_the_row() -> None:
    assert rows_of(COLUMNS + '1,,,drop,,"done\n') == [Row(1.0, mark="drop", note="done")]


def test_a_quote_left_open_ends_after_twenty_lines() -> None:
    words = [f"w{number}" for number in range(30)]
    rows = rows_of(COLUMNS + '1,,,comment,,"' + "\n".join(words) + "\n2,201,,,,\n")
    assert [row.time_s for row in rows] == [1.0, 2.0]
    assert rows[0].note == " ".join(words[:20])


def test_text_from_a_file_is_clean_and_unguarded(tmp_path: Path) -> None:
    text = "# title: a\x1b]0;b\x07c\n" + COLUMNS + "1,,,comment,'=1,bag ＃3 \x1b[2J\u202eok\n"
    found = read(tmp_path, text)
    assert found.title == "ac"
    assert (found.rows[0].value, found.rows[0].note) == ("=1", "bag #3 ok")


def test_after_roast_facts_join_the_header_and_the_later_wins(tmp_path: Path) -> None:
    facts = (
        "500,,,comment,,roasted_weight_g=1280\n"
        "500,,,comment,roasted_weight_g=1279,\n"
        "500,,,comment,,heat = 70 because of rain\n"
        "500,,,control,,valve=3\n"
    )
    found = read(tmp_path, CONTRACT + facts)
    assert found.header["roasted_weight_g"] == "1279"
    assert not {"heat", "valve"} & set(found.header)


def test_a_table_saved_by_a_spreadsheet_keeps_its_header(tmp_path: Path) -> None:
    text = (
        "# roastside roast file 1,,,,,\r\n"
        "# title: House espresso, batch 12,,,,\r\n"
        '"# coffee: Alder Hill, natural",,,,,\r\n'
        "time_s,bean_c,air_c,mark,value,note\r\n"
        "0.5,201,,,,\r\n"
    )
    header = read(tmp_path, text).header
    assert header == {"title": "House espresso, batch 12", "coffee": "Alder Hill, natural"}


@pytest.mark.parametrize("last", ["2,201,,,,", "2,,,drop,,", "2,,,drop,,do", '2,,,drop,,"do'])
def test_a_last_line_that_can_lack_only_its_note_counts_without_a_newline(
    tmp_path: Path, last: str
) -> None:
    found = read(tmp_path, f"{COLUMNS}1,200,,,,\n{last}")
    assert [row.time_s for row in found.rows] == [1.0, 2.0]
    assert not found.torn


@pytest.mark.parametrize(
    "last", ["2", "2,20", "2,201,", "2,,,dro", "2,,,drop,", "2,,,comment,,weight_g=12", "2,,,,,"]
)
def test_a_torn_last_line_is_ignored(tmp_path: Path, last: str) -> None:
    found = read(tmp_path, f"{COLUMNS}1,200,,,,\n{last}")
    assert [row.time_s for row in found.rows] == [1.0]
    assert found.torn


def test_a_last_temperature_without_a_newline_may_be_cut_and_is_ignored(tmp_path: Path) -> None:
    found = read(tmp_path, "time_s,bean_c\n1,200\n2,20")
    assert [row.bean_c for row in found.rows] == [200.0]
    assert found.torn


def test_rows_around_garbage_are_kept(tmp_path: Path) -> None:
    garbage = b"\x00\xff" * 3000 + b'"\n\xfe,"\x00\n' + b"x" * (3 * LONGEST_LINE_BYTES) + b"\n"
    found = read(
        tmp_path, COLUMNS.encode() + b"1,200,,,,\n" + garbage + b"2,201,,,,\n" + b"\0" * 999
    )
    assert [row.time_s for row in found.rows] == [1.0, 2.0]
    assert found.torn
    assert found.skipped >= 2


def test_a_note_in_another_encoding_costs_no_temperature(tmp_path: Path) -> None:
    found = read(tmp_path, COLUMNS.encode() + "1,200,,comment,,crème\n".encode("latin-1"))
    assert found.rows == (Row(1.0, 200.0, mark="comment", note="cr�me", probed=True),)
