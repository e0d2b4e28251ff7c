"""A full or failing disk stops no roast: rows wait in memory, and are told of and rescued.

A limit on the size of files (RLIMIT_FSIZE) stands in for a full disk: the system cuts the write
that crosses it at the exact byte, and refuses the next one. It is set in a program of its own.
"""

from __future__ import annotations

import errno
import json
import os
import subprocess
import sys
import threading
from pathlib import Path
from typing import Any

import pytest

from roastside.core.errors import StoreError
from roastside.core.readings import Mark, Reading
from roastside.record.format import head_text, recording_columns
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder

HEADER = {"title": "Decaf, batch 3"}
LONG_ENOUGH_S = 30.0
LIMITED = """
import json, resource, signal, sys
from pathlib import Path
from roastside.core.errors import StoreError
from roastside.core.readings import Mark, Reading
from roastside.record.recorder import Recorder

signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
path, room, later_room, rescue_dirs, readings = json.loads(sys.argv[1])
unlimited = resource.RLIM_INFINITY
resource.setrlimit(resource.RLIMIT_FSIZE, (room, unlimited))
told = {}
recorder = Recorder(path, {"title": "Decaf, batch 3"}, rescue_dirs=[Path(d) for d in rescue_dirs])
try:
    recorder.open()
    for count in range(readings):
        recorder.append(Reading(float(count), 200.0 + count))
    told["fault"], told["unsaved"] = recorder.fault, recorder.unsaved_rows
    told["in_file"] = Path(path).stat().st_size
    if later_room:
        resource.setrlimit(resource.RLIMIT_FSIZE, (later_room, unlimited))
        recorder.append(Mark(10.0, "drop"))
        told["fault_later"], told["unsaved_later"] = recorder.fault, recorder.unsaved_rows
    recorder.close()
except StoreError as error:
    told["error"] = str(error)
print(json.dumps(told))
"""
HEAD_BYTES = len(head_text(HEADER, recording_columns()))
ROW_BYTES = len("0.00,200.00,,,,\n")

pytestmark = pytest.mark.skipif(os.name != "posix", reason="needs RLIMIT_FSIZE")


def record(
    path: Path,
    room: int,
    later_room: int = 0,
    rescue_dirs: tuple[Path, ...] = (),
    readings: int = 10,
) -> dict[str, Any]:
    """Record some readings with `room` bytes for a file, and a mark once there is more."""
    folders = [str(folder) for folder in rescue_dirs]
    task = json.dumps([str(path), room, later_room, folders, readings])
    run = subprocess.run(
        [sys.executable, "-c", LIMITED, task], capture_output=True, text=True, check=True
    )
    told: dict[str, Any] = json.loads(run.stdout)
    return told


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "batch.csv"


def test_a_disk_full_at_once_is_told_at_once(path: Path) -> None:
    told = record(path, room=20)
    assert told == {
        "error": f"The recording {path} cannot be stored (File too large); free some space or "
        "choose another folder."
    }
    assert not path.exists()


def test_rows_that_find_no_room_are_counted_and_told(path: Path) -> None:
    room = HEAD_BYTES + 3 * ROW_BYTES + 5
    told = record(path, room)
    assert told["in_file"] == room
    assert told["unsaved"] == 7
    assert told["fault"] == (
        "recording not stored (File too large): free some space on its disk, or check it; "
        f"7 rows wait in memory; {path}"
    )


def test_the_file_goes_on_at_the_exact_byte_when_there_is_room_again(path: Path) -> None:
    for cut in range(ROW_BYTES):
        path.unlink(missing_ok=True)
        told = record(path, HEAD_BYTES + 3 * ROW_BYTES + cut, later_room=100_000)
        assert (told["unsaved"], told["unsaved_later"], told["fault_later"]) == (7, 0, "")
        assert "error" not in told
        found = read_roast_file(path)
        assert [row.bean_c for row in found.rows] == [*range(200, 210), None]
        assert (found.skipped, found.torn) == (0, False)


def test_rows_lost_for_good_are_told_when_the_recording_closes(path: Path, tmp_path: Path) -> None:
    told = record(path, HEAD_BYTES + 9 * ROW_BYTES + 5, rescue_dirs=(tmp_path / "not there",))
    assert told["error"] == (
        f"1 row of the recording {path} could not be stored (File too large), nor anywhere else, "
        "and are lost; free some space or choose another disk before the next roast."
    )
    found = read_roast_file(path)
    assert len(found.rows) == 9
    assert found.torn


def test_rows_that_could_not_be_stored_are_rescued_elsewhere(path: Path, tmp_path: Path) -> None:
    rescue = tmp_path / "rescue"
    rescue.mkdir()
    taken = rescue / "batch-rest-1.csv"
    taken.write_text("an earlier rescue\n")
    room = HEAD_BYTES + 10 * ROW_BYTES + 26 * (ROW_BYTES + 1) + 5
    told = record(path, room, rescue_dirs=(tmp_path / "not there", rescue), readings=40)
    rescued = rescue / "batch-rest-2.csv"
    assert told["error"] == (
        f"4 rows of the recording {path} could not be stored (File too large) and are in "
        f"{rescued} instead; free some space and start roastside again before this machine is "
        "switched off, and it puts them together."
    )
    assert taken.read_text() == "an earlier rescue\n"
    kept, rest = read_roast_file(path), read_roast_file(rescued)
    assert [row.bean_c for row in kept.rows + rest.rows] == list(range(200, 240))
    assert kept.header == HEADER
    assert rest.header == {**HEADER, "rest_of": str(path)}


def test_rows_a_disk_failed_to_confirm_once_are_rescued(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    recorder = Recorder(path, HEADER, rescue_dirs=[tmp_path])
    recorder.open()
    fsync, file = os.fsync, path.stat()
    failed = threading.Event()

    def failing_once(fd: int) -> None:
        if os.path.samestat(os.fstat(fd), file) and not failed.is_set():
            failed.set()
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        fsync(fd)

    monkeypatch.setattr(os, "fsync", failing_once)
    recorder.append(Mark(0.0, "charge"))
    assert failed.wait(LONG_ENOUGH_S)
    recorder.append(Reading(0.5, 200.0))
    with pytest.raises(StoreError, match=r"2 rows of .*Input/output error.*batch-rest-1\.csv"):
        recorder.close()
    assert recorder.unsaved_rows == 2
    assert "Input/output error" in recorder.fault
    assert len(read_roast_file(tmp_path / "batch-rest-1.csv").rows) == 2


@pytest.mark.parametrize("code", [errno.EINVAL, errno.ENOTSUP])
def test_a_file_system_that_cannot_confirm_is_believed(
    path: Path, monkeypatch: pytest.MonkeyPatch, code: int
) -> None:
    def unable(fd: int) -> None:
        raise OSError(code, os.strerror(code))

    monkeypatch.setattr(os, "fsync", unable)
    recorder = Recorder(path, HEADER)
    recorder.open()
    recorder.append(Reading(0.5, 200.0))
    recorder.close()
    assert (recorder.fault, len(read_roast_file(path).rows)) == ("", 1)
