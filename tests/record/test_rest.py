"""What a full disk did not take of a recording is put to it again, each row once."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest

from roastside.core.errors import RecordError, StoreError
from roastside.core.readings import Mark, Reading
from roastside.record import disk
from roastside.record.format import head_text, recording_columns, row_text
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from roastside.record.rest import is_rest, join_rest, rest_header, until_s

HEADER = {"title": "Decaf, batch 3", "started_at": "2026-03-02T07:14:09+01:00"}
COLUMNS = recording_columns()
ROWS = [row_text(Reading(k / 2, 200.0 + k), COLUMNS).encode() for k in range(12)]
DROP = row_text(Mark(6.0, "drop"), COLUMNS).encode()


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    """Cut off in the middle of its eighth row."""
    path = tmp_path / "recordings" / "batch.csv"
    path.parent.mkdir()
    path.write_bytes(head_text(HEADER, COLUMNS).encode() + b"".join(ROWS[:7]) + ROWS[7][:5])
    return path


def rest(folder: Path, recording: Path, rows: list[bytes], number: int = 1) -> Path:
    folder.mkdir(exist_ok=True)
    path = folder / f"batch-rest-{number}.csv"
    head = head_text(rest_header(HEADER, recording), COLUMNS).encode()
    path.write_bytes(head + b"".join(rows))
    return path


def beans(recording: Path) -> list[float]:
    return [row.bean_c for row in read_roast_file(recording).rows if row.bean_c is not None]


def test_only_what_is_called_so_is_a_rest(recording: Path, tmp_path: Path) -> None:
    assert is_rest("2026-03-02 07.14.09-rest-1.csv")
    assert not is_rest("2026-03-02 07.14.09.csv") and not is_rest("-rest-1.csv")
    copy = rest(tmp_path, recording, ROWS[7:]).rename(tmp_path / "a copy.csv")
    assert join_rest(copy) is None and copy.exists()
    foreign = tmp_path / "my-rest-1.csv"
    foreign.write_text("what is left to do\n")
    assert join_rest(foreign) is None and foreign.exists()


def test_a_rest_is_appended_and_taken_away(recording: Path, tmp_path: Path) -> None:
    before = recording.read_bytes()
    left = rest(tmp_path / "own", recording, [*ROWS[7:], DROP])
    assert join_rest(left) == recording
    assert recording.read_bytes().startswith(before)
    assert beans(recording) == [200.0 + k for k in range(12)]
    whole = read_roast_file(recording)
    assert (whole.marks(), whole.header) == ({"drop": 6.0}, HEADER)
    assert not left.exists()


def test_a_row_that_lacked_only_its_end_is_not_appended_again(
    recording: Path, tmp_path: Path
) -> None:
    with recording.open("ab") as file:
        file.write(ROWS[7][5:-1])
    join_rest(rest(tmp_path / "own", recording, ROWS[7:]))
    assert beans(recording) == [200.0 + k for k in range(12)]


def test_rows_that_are_there_already_are_not_appended_again(
    recording: Path, tmp_path: Path
) -> None:
    # As after a failed sync, when the disk took more than it confirmed; or an end half way.
    left = rest(tmp_path / "own", recording, [*ROWS[3:], DROP])
    kept = left.read_bytes()
    join_rest(left)
    left.write_bytes(kept)
    size = recording.stat().st_size
    join_rest(left)
    assert recording.stat().st_size == size
    assert beans(recording) == [200.0 + k for k in range(12)]


def test_a_rest_that_is_all_there_is_becomes_the_recording(tmp_path: Path) -> None:
    recording = tmp_path / "recordings" / "batch.csv"
    with pytest.raises(StoreError, match=r"folder of the recording .* is not there"):
        join_rest(rest(tmp_path / "own", recording, ROWS[:5]))
    recording.parent.mkdir()
    first = rest(tmp_path / "own", recording, ROWS[:5])
    second = rest(tmp_path / "own", recording, ROWS[5:], number=2)
    assert join_rest(first) == recording == join_rest(second)
    assert beans(recording) == [200.0 + k for k in range(12)]
    assert list((tmp_path / "own").iterdir()) == []
    assert read_roast_file(recording).header == HEADER


def test_a_home_that_was_moved_is_still_one(recording: Path, tmp_path: Path) -> None:
    rest(recording.parent, recording, ROWS[7:])
    moved = tmp_path / "moved"
    recording.parent.rename(moved)
    assert join_rest(moved / "batch-rest-1.csv") == moved / "batch.csv"
    assert beans(moved / "batch.csv") == [200.0 + k for k in range(12)]


def test_a_row_that_says_again_what_an_earlier_one_said_is_kept(
    recording: Path, tmp_path: Path
) -> None:
    drop, undone = (row_text(Mark(5.0, name), COLUMNS).encode() for name in ("drop", "undo drop"))
    with recording.open("ab") as file:
        file.write(ROWS[7][5:] + drop)
    join_rest(rest(tmp_path / "own", recording, [undone, ROWS[8], drop, ROWS[9]]))
    assert read_roast_file(recording).marks() == {"drop": 5.0}
    assert beans(recording) == [200.0 + k for k in range(10)]


def test_a_comment_that_lacked_only_its_end_is_whole(recording: Path, tmp_path: Path) -> None:
    remark = row_text(Mark(6.0, "comment", note="smells of toast"), COLUMNS).encode()
    with recording.open("ab") as file:
        file.write(ROWS[7][5:] + remark[:-1])
    join_rest(rest(tmp_path / "own", recording, [remark, ROWS[8]]))
    assert [row.note for row in read_roast_file(recording).rows if row.note] == ["smells of toast"]


def test_a_try_that_was_cut_short_at_any_byte_is_ended(recording: Path, tmp_path: Path) -> None:
    left = rest(tmp_path / "own", recording, [*ROWS[7:10], DROP, *ROWS[10:]])
    before, kept = recording.read_bytes(), left.read_bytes()
    join_rest(left)
    whole = recording.read_bytes()
    for size in range(len(before), len(whole)):
        recording.write_bytes(whole[:size])
        left.write_bytes(kept)
        join_rest(left)
        assert recording.read_bytes() == whole


def test_a_rest_of_a_rest_is_one_of_the_same_recording(tmp_path: Path) -> None:
    recording = tmp_path / "recordings" / "batch.csv"
    recording.parent.mkdir()
    first = rest(tmp_path / "own", recording, ROWS[:5])
    header = rest_header(read_roast_file(first).header, first)
    assert header["rest_of"] == str(recording)
    second = first.with_name("batch-rest-1-rest-1.csv")
    second.write_bytes(head_text(header, COLUMNS).encode() + b"".join(ROWS[5:]))
    assert until_s(first) < until_s(second)
    for each in (first, second):
        assert join_rest(each) == recording
    assert beans(recording) == [200.0 + k for k in range(12)]


def test_a_rest_of_itself_or_of_no_table_is_left_alone(tmp_path: Path) -> None:
    left = rest(tmp_path / "own", tmp_path / "own" / "batch-rest-1.csv", ROWS)
    assert join_rest(left) is None and left.exists()
    left = rest(tmp_path / "own", tmp_path / "own" / ".profile", ROWS)
    assert join_rest(left) is None and left.exists()
    assert not (tmp_path / "own" / ".profile").exists()


@pytest.mark.skipif(os.name != "posix", reason="needs owners of files")
def test_what_somebody_else_left_in_a_shared_folder_is_no_rest_of_ours(
    recording: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = rest(tmp_path / "own", recording, ROWS[7:])
    monkeypatch.setattr(os, "getuid", lambda: left.stat().st_uid + 1)
    assert join_rest(left) is None and left.exists()


def test_without_room_nothing_is_changed(
    recording: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    left = rest(tmp_path / "own", recording, ROWS[7:])
    before = recording.read_bytes(), left.read_bytes()
    usage = shutil.disk_usage(tmp_path)._replace(free=100)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage)
    with pytest.raises(StoreError, match=r"no room yet .*batch-rest-1\.csv.*free some space"):
        join_rest(left)
    assert before == (recording.read_bytes(), left.read_bytes())


def test_what_is_being_recorded_is_left_alone(recording: Path, tmp_path: Path) -> None:
    left = rest(tmp_path / "own", recording, ROWS[7:])
    for held in (recording, left):
        fd = disk.open_for_appending(held)
        assert join_rest(left) is None
        os.close(fd)
    assert join_rest(left) == recording


def test_other_columns_are_not_mixed(recording: Path, tmp_path: Path) -> None:
    left = rest(tmp_path / "own", recording, [])
    left.write_bytes(left.read_bytes().replace(b"air_c", b"air_c,drum_c"))
    with pytest.raises(RecordError, match="other columns"):
        join_rest(left)


def test_a_recording_that_cannot_begin_is_begun_elsewhere(tmp_path: Path) -> None:
    elsewhere = tmp_path / "own"
    elsewhere.mkdir()
    path = tmp_path / "not there" / "batch.csv"
    with pytest.raises(StoreError):
        Recorder(path, HEADER, rescue_dirs=[elsewhere]).open()  # where somebody wanted it
    recorder = Recorder(path, HEADER, rescue_dirs=[elsewhere], anywhere=True)
    recorder.open()
    recorder.append(Reading(0.0, 200.0))
    assert recorder.path == elsewhere / "batch-rest-1.csv"
    assert recorder.moved == (
        f"The recording {path} cannot be stored, as its folder is not there; make the folder or "
        f"choose another. For now it is kept in {recorder.path}."
    )
    recorder.close()
    path.parent.mkdir()
    assert join_rest(recorder.path) == path
    assert beans(path) == [200.0]


def test_somebody_else_s_recording_of_that_name_is_not_mixed_with_ours(tmp_path: Path) -> None:
    path = tmp_path / "batch.csv"
    first = Recorder(path, HEADER, rescue_dirs=[tmp_path], anywhere=True)
    first.open()
    with pytest.raises(StoreError, match="being recorded by another roastside"):
        Recorder(path, HEADER, rescue_dirs=[tmp_path], anywhere=True).open()
    first.close()
    assert list(tmp_path.iterdir()) == [path]
