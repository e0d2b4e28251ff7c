"""The recording is in the file at once, complete, and never on top of something else."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from roastside.core.errors import StoreError, UsageError
from roastside.core.readings import Mark, MarkSource, Reading
from roastside.record import recorder as recorder_module
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder

HEADER = {"title": "House espresso, batch 12", "started_at": "2026-03-02T08:14:09+01:00"}
LONG_ENOUGH_S = 30.0


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "batch.csv"


def test_a_recording_is_the_head_and_a_line_for_each_item(path: Path) -> None:
    recorder = Recorder(path, HEADER)
    recorder.open()
    recorder.append(Reading(0.0, 201.25, 228.5))
    recorder.append(Mark(41.2, "charge"))
    recorder.append(Mark(240.0, "control", "70", "heat %"))
    recorder.note_fact("roasted_weight_g", "1281", 700.0)
    recorder.close()
    assert path.read_bytes().decode() == (
        "# roastside roast file 1\n"
        "# title: House espresso, batch 12\n"
        "# started_at: 2026-03-02T08:14:09+01:00\n"
        "time_s,bean_c,air_c,mark,value,note\n"
        "0.00,201.25,228.50,,,\n"
        "41.20,,,charge,,\n"
        "240.00,,,control,70,heat %\n"
        "700.00,,,comment,,roasted_weight_g=1281\n"
    )
    assert read_roast_file(path).header == {**HEADER, "roasted_weight_g": "1281"}
    assert (recorder.fault, recorder.unsaved_rows) == ("", 0)


def test_every_row_is_in_the_file_as_soon_as_it_is_appended(path: Path) -> None:
    recorder = Recorder(path, HEADER)
    recorder.open()
    for count in range(1, 4):
        recorder.append(Reading(count / 2, 200.0))
        assert len(read_roast_file(path).rows) == count
    recorder.close()


def test_further_temperatures_are_recorded(path: Path) -> None:
    recorder = Recorder(path, HEADER, extra_columns=["inlet_c"])
    recorder.open()
    recorder.append(Reading(0.0, 200.0, 220.0, {"inlet_c": 250.5}))
    recorder.close()
    assert next(read_roast_file(path).items()) == Reading(0.0, 200.0, 220.0, {"inlet_c": 250.5})


def test_an_empty_file_that_is_already_there_is_taken(path: Path) -> None:
    path.touch()
    recorder = Recorder(path, HEADER)
    recorder.open()
    recorder.close()
    assert read_roast_file(path).header == HEADER


def test_a_recording_never_overwrites(path: Path) -> None:
    path.write_text("a poem\n")
    with pytest.raises(StoreError, match=r"batch\.csv already holds something"):
        Recorder(path, HEADER).open()
    assert path.read_text() == "a poem\n"


def test_a_second_recorder_is_refused_while_the_first_records(path: Path) -> None:
    first = Recorder(path, HEADER)
    first.open()
    with pytest.raises(StoreError, match="is being recorded by another roastside"):
        Recorder(path, HEADER).open()
    first.append(Reading(0.0, 200.0))
    first.close()
    assert len(read_roast_file(path).rows) == 1


@pytest.mark.parametrize(
    ("name", "sentence"),
    [
        ("no/such/folder.csv", "as its folder is not there; make the folder"),
        ("", "is not an ordinary file"),
        ("x" * 300, "cannot be stored (File name too long)"),
        ("a\0b", "cannot be stored (embedded null byte)"),
    ],
)
def test_a_place_that_cannot_hold_a_recording_is_refused_at_once(
    tmp_path: Path, name: str, sentence: str
) -> None:
    with pytest.raises(StoreError) as caught:
        Recorder(tmp_path / name, HEADER).open()
    assert sentence in str(caught.value)


def test_a_header_key_that_would_break_the_header_is_refused(path: Path) -> None:
    with pytest.raises(UsageError):
        Recorder(path, {"title: x\n": "y"})


def test_closing_twice_is_fine_and_appending_after_it_is_refused(path: Path) -> None:
    recorder = Recorder(path, HEADER)
    recorder.close()
    recorder.open()
    recorder.close()
    recorder.close()
    with pytest.raises(StoreError, match="is not open"):
        recorder.append(Mark(1.0, "drop"))


@pytest.mark.parametrize(
    ("item", "sync_every_s"), [(Mark(1.0, "charge"), 3600.0), (Reading(1.0, 200.0), 0.01)]
)
def test_the_disk_confirms_a_mark_at_once_and_a_reading_soon(
    path: Path, monkeypatch: pytest.MonkeyPatch, item: Mark | Reading, sync_every_s: float
) -> None:
    monkeypatch.setattr(recorder_module, "SYNC_EVERY_S", sync_every_s)
    confirmed = threading.Event()
    recorder = Recorder(path, HEADER)
    recorder.open()
    fsync = os.fsync

    def noticed(fd: int) -> None:
        fsync(fd)
        confirmed.set()

    monkeypatch.setattr(os, "fsync", noticed)
    recorder.append(item)
    assert confirmed.wait(LONG_ENOUGH_S)
    recorder.close()


def test_a_disk_slow_to_confirm_holds_no_reading_up(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, answer = threading.Event(), threading.Event()
    recorder = Recorder(path, HEADER)
    recorder.open()

    def slow(fd: int) -> None:
        asked.set()
        assert answer.wait(LONG_ENOUGH_S)

    monkeypatch.setattr(os, "fsync", slow)
    recorder.append(Mark(0.0, "charge"))
    assert asked.wait(LONG_ENOUGH_S)
    recorder.append(Reading(0.5, 200.0))
    assert len(read_roast_file(path).rows) == 2
    answer.set()
    recorder.close()
    assert recorder.unsaved_rows == 0


ENDLESS_RECORDING = """
import sys
from roastside.core.readings import Mark, MarkSource, Reading
from roastside.record.recorder import Recorder
recorder = Recorder(sys.argv[1], {"title": "killed"})
recorder.open()
count = 0
while True:
    recorder.append(Reading(count / 10, 200.0 + count / 1000))
    count += 1
    print(count, flush=True)
"""


def test_a_recording_program_that_is_killed_leaves_every_row(path: Path) -> None:
    program = [sys.executable, "-c", ENDLESS_RECORDING, str(path)]
    with subprocess.Popen(program, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        for _ in range(200):
            appended = int(process.stdout.readline())
        process.kill()
        appended = [appended, *map(int, process.stdout.read().split())][-1]
    rows = read_roast_file(path).rows
    assert len(rows) in (appended, appended + 1)
    assert rows[199].items() == [Reading(19.9, 200.199)]


def test_many_threads_may_append(path: Path) -> None:
    recorder = Recorder(path, HEADER)
    recorder.open()

    def mark(name: str) -> None:
        for second in range(50):
            recorder.append(Mark(float(second), "comment", note=name))

    threads = [threading.Thread(target=mark, args=(name,)) for name in "abcd"]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    recorder.close()
    found = list(read_roast_file(path).items())
    for name in "abcd":
        expected = [
            Mark(float(second), "comment", note=name, source=MarkSource.FILE)
            for second in range(50)
        ]
        assert [item for item in found if isinstance(item, Mark) and item.note == name] == expected
