"""The quick way to read a recording tells exactly what the slow and patient one does."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from roastside.book.figures import Figures, figures
from roastside.book.recording import OPENING_BYTES, read_recording
from roastside.core.errors import RecordError
from roastside.core.readings import Mark
from roastside.core.stages import Marks
from roastside.record.reader import read_roast_file
from tests.book.homes import FIXTURES, roast_text
from tests.live.running import posix_only

Told = tuple[Figures, dict[str, str], list[tuple[float, float]], list[str]]


def quickly(path: Path) -> Told:
    found = read_recording(path)
    points = sorted(zip(found.time_s.tolist(), found.bean_c.tolist(), strict=True))
    notes = [row.note for row in found.rows]
    told = figures(found.time_s, found.bean_c, found.marks)
    return told, dict(found.header), points, notes


def patiently(path: Path) -> Told:
    found, marks = read_roast_file(path), Marks()
    for item in found.items():
        if isinstance(item, Mark):
            marks.take(item)
    points = [(row.time_s, row.bean_c) for row in found.rows if row.bean_c is not None]
    time_s, bean_c = np.array(points, dtype=np.float64).reshape(-1, 2).T
    notes = [row.note for row in found.rows if row.mark]
    return figures(time_s, bean_c, marks), dict(found.header), sorted(points), notes


@pytest.mark.parametrize("fixture", sorted(FIXTURES.glob("*.csv")), ids=lambda path: path.stem)
def test_every_fixture_is_told_alike(fixture: Path) -> None:
    assert quickly(fixture) == patiently(fixture)
    assert quickly(fixture)[0].readings > 100


ODD_LINES = (
    "12.50,,,comment,,remarks=a fine roast",
    '12.50,,,comment,,"heat, then air"',
    '12.50,,,comment,,"a quote left open',
    'closed here",,,',
    '14.00,200.00,210.00,comment,,"and here',
    "40.25,,,charge,,",
    "41.00,,,undo charge,,",
    "300.00,,,yellowing,,",
    "15.00,,210.00,,,",
    "15.00,,,,,",
    "15.00,200.00,,,",
    "15.00,200.00,210.00,,,,",
    "15.00,200.00,210.00,drop,,,,,",
    "1_5.00,200.00,210.00,,,",
    "15.00,2_00.00,210.00,,,",
    "15.00,nan,210.00,,,",
    "nan,200.00,210.00,,,",
    "15.00,inf,,,,",
    "15.00,-60.00,,,,",
    "1e9,200.00,,,,",
    " 15.00 , 200.00 ,210.00,,,",
    "１５.00,２00.00,210.00,,,",
    "x,200.00,210.00,,,",
    "15.00,open,210.00,,,",
    "# a remark,,,",
    "15.00,200.00,210.00,,, # torn",
    "15.00,200.00,210.00,,,\r",
    '"15.00",200.00,210.00,,,',
    '15.00,200.00,"210.00",,,',
    "",
    ",,,,,",
    "15.00," + "2" * 70_000 + ",,,,",
    "15.00,200.00," + "2" * 70_000 + ",,,",
)


@pytest.mark.parametrize("line", ODD_LINES, ids=range(len(ODD_LINES)))
def test_an_odd_line_is_told_alike(line: str, tmp_path: Path) -> None:
    lines = roast_text().split("\n")
    path = tmp_path / "a.csv"
    path.write_text("\n".join([*lines[:40], line, *lines[40:]]), "utf-8", newline="")
    assert quickly(path) == patiently(path)


@pytest.mark.parametrize(
    "columns",
    [
        "time_s,bean_c,air_c,mark,note,value",
        "bean_c,time_s,air_c,mark,value,note",
        "time_s,air_c,bean_c,mark,value,note",
        "time_s,bean_c,air_c,further,mark,value,note",
        "time_s,bean_c,mark,value,note",
        "time_s,mark,air_c,bean_c,value,note",
        "time_s,bean_c",
    ],
)
def test_other_columns_are_told_alike(columns: str, tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text(roast_text().replace("time_s,bean_c,air_c,mark,value,note", columns), "utf-8")
    assert quickly(path) == patiently(path)


@example(odd=["", '15.00,200.00,210.00,,,"', "16.00,200.00,210.00,,,"], end=b"\n")
@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    odd=st.lists(
        st.one_of(
            st.sampled_from(ODD_LINES[:-2]),
            st.text(st.sampled_from('0123456789.,,,,"#-_e charge\r\tn')),
        ),
        max_size=12,
    ),
    end=st.sampled_from([b"\n", b"\r\n", b"\n\xff"]),
)
def test_whatever_stands_in_a_file_is_told_alike(
    odd: list[str], end: bytes, tmp_path: Path
) -> None:
    lines = roast_text().split("\n")[:300]
    for place, line in enumerate(odd, 8):
        lines.insert(23 * place % len(lines[6:]) + 6, line)
    path = tmp_path / "a.csv"
    head, rows = lines[:6], lines[6:]
    path.write_bytes(("\n".join(head) + "\n").encode() + end.join(row.encode() for row in rows))
    assert quickly(path) == patiently(path)


def test_what_is_no_roast_file_is_refused_as_by_the_patient_reader(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    for content in (b"", b"time,temp\n1,2\n", b"# title: x\n", b"\x00\x01", b"time_s\n1\n"):
        path.write_bytes(content)
        with pytest.raises(RecordError) as quick:
            read_recording(path)
        with pytest.raises(RecordError) as patient:
            read_roast_file(path)
        assert str(quick.value) == str(patient.value)


def test_what_cannot_be_read_is_refused_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="is not there"):
        read_recording(tmp_path / "gone.csv")
    with pytest.raises(RecordError, match="not an ordinary file"):
        read_recording(tmp_path)
    with pytest.raises(RecordError, match="cannot be read"):
        read_recording(tmp_path / ("x" * 300 + ".csv"))


@posix_only
def test_a_pipe_does_not_hold_it_up(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(RecordError, match="not an ordinary file"):
        read_recording(tmp_path / "pipe.csv")


def test_a_recording_is_known_by_its_opening_and_its_whole(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    path.write_text(roast_text(), "utf-8")
    before = read_recording(path)
    data = path.read_bytes()
    path.write_bytes(data + b"700.00,,,comment,,colour=98\n")
    after = read_recording(path)
    assert before.content_hash == hashlib.sha256(data).hexdigest() != after.content_hash
    assert before.opening_hash == hashlib.sha256(data[:OPENING_BYTES]).hexdigest()
    assert after.opening_hash == before.opening_hash
    assert (after.size_bytes, after.header["colour"]) == (len(data) + 28, "98")


def test_an_overlong_line_with_an_open_quote_is_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "a.csv"
    long = '20.00,,,comment,,"' + "x" * 200_000
    path.write_text(f"{roast_text()}{long}\n21.00,200.00,210.00,,,\n")
    assert quickly(path) == patiently(path)
