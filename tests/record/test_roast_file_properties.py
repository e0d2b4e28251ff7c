"""What holds for any recording: it reads back, wherever it was cut and however it was spoiled."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from pathlib import Path

import pandas
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roastside.core.errors import RecordError
from roastside.core.readings import Mark, MarkName, MarkSource, Reading
from roastside.core.text import clean
from roastside.record.format import Row, head_text, is_key, parse_fact, recording_columns, row_text
from roastside.record.reader import RowReader, read_roast_file
from roastside.record.recorder import Recorder

quick = settings(deadline=None, max_examples=60, derandomize=True)

times_s = st.floats(0.0, 7200.0)
temperatures_c = st.none() | st.floats(-50.0, 500.0)
awkward_texts = st.lists(
    st.sampled_from([*"#\"',;=+-@\n\r\t ", "\x00", "\x1b[31m", "é", "＃", "早", "😀", "a", "7"]),
    max_size=12,
).map("".join)
texts = st.text(max_size=20) | awkward_texts
mark_words = (
    st.sampled_from([*MarkName, "undo drop", "fan, low"])
    | texts.filter(lambda text: clean(text) != "")
).map(str)
readings = st.builds(
    Reading,
    times_s,
    temperatures_c,
    temperatures_c,
    st.dictionaries(st.sampled_from(["inlet_c", "exhaust_c"]), st.floats(-50.0, 500.0)),
)
marks = st.builds(Mark, times_s, mark_words, texts, texts)
recordings = st.lists(readings | marks, max_size=12)
headers = st.dictionaries(
    st.text("abc_9", min_size=1, max_size=5).filter(is_key), texts, max_size=3
)
COLUMNS = recording_columns(["inlet_c", "exhaust_c"])


def as_read(text: str) -> str:
    return clean(text).replace("＃", "#")


def as_stored(item: Reading | Mark) -> Reading | Mark:
    if isinstance(item, Reading):
        return item
    mark, value, note = map(as_read, (item.mark, item.value, item.note))
    return Mark(item.time_s, mark, value, note, MarkSource.FILE)


def stored(items: list[Reading | Mark], header: dict[str, str] | None = None) -> bytes:
    lines = [row_text(item, COLUMNS) for item in items]
    return (head_text(header or {}, COLUMNS) + "".join(lines)).encode()


def rows_of(data: bytes) -> list[Row]:
    reader = RowReader()
    return reader.feed(data) + reader.finish()


@given(recordings, headers)
@quick
def test_any_recording_reads_back(items: list[Reading | Mark], header: dict[str, str]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "roast.csv"
        recorder = Recorder(path, header, ["inlet_c", "exhaust_c"])
        recorder.open()
        for item in items:
            recorder.append(item)
        recorder.close()
        found = read_roast_file(path)
        table = pandas.read_csv(path, comment="#")
    expected = [as_stored(item) for item in items]
    assert list(found.items()) == expected
    assert (found.skipped, found.torn) == (0, False)
    facts = {key: clean(value) for key, value in header.items()}
    for item in expected:
        if isinstance(item, Mark) and item.mark == "comment":
            facts |= dict(filter(None, map(parse_fact, (item.value, item.note))))
    assert found.header == facts
    same_numbers(table, items)


def same_numbers(table: pandas.DataFrame, items: list[Reading | Mark]) -> None:
    """The table holds the items' numbers; its default parser may be a last digit off."""
    assert tuple(table.columns) == COLUMNS
    assert list(table["time_s"]) == pytest.approx([item.time_s for item in items], rel=1e-14)
    for name in ("bean_c", "air_c"):
        expected = [getattr(item, name, None) for item in items]
        numbers = [None if pandas.isna(cell) else float(cell) for cell in table[name]]
        assert [number is None for number in numbers] == [value is None for value in expected]
        assert [number for number in numbers if number is not None] == pytest.approx(
            [value for value in expected if value is not None], rel=1e-14
        )


@given(recordings, st.data())
@quick
def test_a_file_cut_anywhere_opens_with_every_whole_row(
    items: list[Reading | Mark], data: st.DataObject
) -> None:
    whole = stored(items, {"title": "Café “№ 7”"})
    check_cut(whole, data.draw(st.integers(0, len(whole))))


def test_a_file_cut_at_each_of_its_bytes_opens_with_every_whole_row() -> None:
    items: list[Reading | Mark] = [
        Reading(0.0, 201.256, 228.5, {"exhaust_c": 99.125}),
        Mark(41.2, "first_crack_end", "70", "heard, “early”"),
        Reading(41.5, None),
        Mark(42.0, "comment", "", "roasted_weight_g=1281"),
        Mark(43.0, "undo drop", '=a "b"', "#1 早"),
        Reading(44.0, 1.0),
    ]
    whole = stored(items, {"title": "Café “№ 7”"})
    for cut in range(len(whole) + 1):
        check_cut(whole, cut)


def check_cut(whole: bytes, cut: int) -> None:
    """Every whole row is there, and at most one more that lacks nothing but its note's end."""
    kept = whole[:cut]
    head_bytes = len(stored([], {"title": "Café “№ 7”"}))
    if cut < head_bytes:
        with pytest.raises(RecordError):
            rows_of(kept)
        return
    expected, found = rows_of(whole), rows_of(kept)
    whole_rows = kept[head_bytes:].count(b"\n")
    assert found[:whole_rows] == expected[:whole_rows]
    assert len(found) - whole_rows in (0, 1)
    for row, true in zip(found[whole_rows:], expected[whole_rows:], strict=False):
        assert replace(row, note="") == replace(true, note="")
        assert row.mark != "comment"


@given(recordings, st.lists(st.integers(1, 40), min_size=1))
@quick
def test_pieces_of_any_size_give_the_same_rows(
    items: list[Reading | Mark], sizes: list[int]
) -> None:
    data = stored(items)
    reader, rows, at = RowReader(), list[Row](), 0
    while at < len(data):
        size = sizes[at % len(sizes)]
        rows += reader.feed(data[at : at + size])
        at += size
    assert rows + reader.finish() == rows_of(data)


fragments = st.binary(max_size=40) | st.sampled_from(
    [b"\n", b"\r", b'"', b"time_s,bean_c\n", b"1,200\n", b"\xef\xbb\xbf", b"#", b"\0", b"# a: b\n"]
)


@given(st.lists(fragments, max_size=12).map(b"".join))
@settings(quick, max_examples=300)
def test_any_bytes_are_read_or_refused_with_a_sentence(data: bytes) -> None:
    for content in (data, b"time_s,bean_c,mark,note\n" + data):
        try:
            rows = rows_of(content)
        except RecordError as error:
            assert str(error).startswith("The roast file, line ")
        else:
            for row in rows:
                assert row.bean_c is None or -50.0 <= row.bean_c <= 500.0
                assert row.note == clean(row.note)
                assert row.items()


@given(recordings, st.binary(min_size=1, max_size=30), st.data())
@quick
def test_rows_before_and_after_spoiled_bytes_are_kept(
    items: list[Reading | Mark], spoiled: bytes, data: st.DataObject
) -> None:
    at = data.draw(st.integers(0, len(items)))
    before, after = stored(items[:at]), [row_text(item, COLUMNS) for item in items[at:]]
    rows = rows_of(before + spoiled + b"\n" + "".join(after).encode())
    expected = rows_of(stored(items))
    assert rows[:at] == expected[:at]
    assert rows[len(rows) - len(after) :] == expected[at:]
