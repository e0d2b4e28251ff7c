"""The rest of a recording: what its own disk did not take, and putting the two together."""

from __future__ import annotations

import os
import re
import shutil
import sys
from collections.abc import Mapping, Sequence
from contextlib import suppress
from pathlib import Path

from roastside.core.errors import RecordError, StoreError
from roastside.core.text import clean
from roastside.record import disk
from roastside.record.format import REST_OF
from roastside.record.reader import RoastFile, read_roast_file
from roastside.record.tail import line_end

REST = "-rest"
"""Ends the name of a rest, before its number."""

_NAME = re.compile(rf".+{REST}-[0-9]+\.csv")
_HEADER_LINE = re.compile(rb"(?m)^# " + REST_OF.encode() + rb":.*\n")
_SPARE_BYTES = 4096


def is_rest(name: str) -> bool:
    """Whether a file is called like the rest of a recording."""
    return _NAME.fullmatch(name) is not None


def rest_header(header: Mapping[str, str], recording: Path) -> dict[str, str]:
    """The header of a rest: that of its recording, and where that is.

    What is left over of a rest that is gone on with is a rest of the same recording.
    """
    of = header.get(REST_OF) if is_rest(recording.name) else None
    return {**header, REST_OF: of or str(recording.absolute())}


def recording_of(rest: Path, header: Mapping[str, str]) -> Path | None:
    """The recording that a rest belongs to, there or not; None if the file is no rest.

    A home that was moved is still one: the recording is also looked for beside the rest.
    """
    named = header.get(REST_OF, "")
    if not named.lower().endswith(".csv") or not is_rest(rest.name):
        return None
    beside = rest.with_name(Path(named).name)
    found = beside if beside.is_file() and not Path(named).is_file() else Path(named)
    return None if found.absolute() == rest.absolute() else found


def until_s(rest: Path) -> float:
    """The latest time in a rest, s: those of one recording follow each other. 0 if it is none."""
    with suppress(RecordError):
        return max((row.time_s for row in read_roast_file(rest).rows), default=0.0)
    return 0.0


def join_rest(rest: Path) -> Path | None:
    """Append a rest to its recording, whole or not at all, and take it away; the recording.

    If there is no such recording in its folder the rest becomes it. An end at any moment loses
    nothing: the next time goes on where this one ended. None if the file is no rest of this
    person, or one of the two is still being recorded.

    Raises StoreError if that cannot be done now, and RecordError if it never can.
    """
    recording = None
    try:
        if not rest.stat().st_size or not _is_ours(rest):
            return None
        try:
            fd = disk.open_for_appending(rest)
        except StoreError:
            return None  # it is still being recorded, or cannot be taken away
        try:
            if not os.fstat(fd).st_nlink:
                return None  # somebody else was faster
            recording = _joined(rest)
            if recording is not None and sys.platform != "win32":
                rest.unlink()  # while nobody else can take it up
        finally:
            os.close(fd)
        if recording is not None and sys.platform == "win32":
            rest.unlink()
    except FileNotFoundError:
        return None  # somebody else was faster
    except OSError as error:
        raise StoreError(
            f"What is in {clean(str(rest))} could not be put to its recording "
            f"({disk.reason(error)}); free some space, or check the disk."
        ) from error
    return recording


def _is_ours(rest: Path) -> bool:
    """A folder that others may write to may hold anything."""
    return sys.platform == "win32" or rest.stat().st_uid == os.getuid()


def _joined(rest: Path) -> Path | None:
    """Raises OSError, StoreError, RecordError."""
    try:
        found = read_roast_file(rest)
    except RecordError:
        return None
    recording = recording_of(rest, found.header)
    if recording is None or disk.is_being_recorded(recording):
        return None
    data = rest.read_bytes()
    if recording.is_file():
        _append(found, data, recording)
    elif recording.parent.is_dir():
        os.close(disk.create(recording, _HEADER_LINE.sub(b"", data, count=1)))
    else:
        raise StoreError(
            f"The folder of the recording {clean(str(recording))} is not there, so its rest stays "
            f"in {clean(str(rest))}; make the folder, or plug its disk in."
        )
    return recording


def _append(rest: RoastFile, data: bytes, recording: Path) -> None:
    """Raises OSError, StoreError, RecordError."""
    fd = disk.open_for_appending(recording)
    try:
        found = read_roast_file(recording)
        if found.columns != rest.columns:
            raise RecordError(
                f"{clean(str(rest.path))} has other columns than its recording "
                f"{clean(str(recording))}; keep both files."
            )
        added = _lacking(_rows(data), found)
        if shutil.disk_usage(recording.parent).free < len(added) + _SPARE_BYTES:
            raise StoreError(
                f"There is no room yet to put what is in {clean(str(rest.path))} to its recording "
                f"{clean(str(recording))}; free some space on that disk."
            )
        disk.write_all(fd, added)
        disk.sync(fd)
    finally:
        os.close(fd)


def _lacking(rows: Sequence[bytes], recording: RoastFile) -> bytes:
    """What has to be appended to a recording so that it ends with these rows.

    It may end with some of the first already, where a disk took more than it confirmed or an
    earlier try was cut short, and with a piece of the next.
    """
    *lines, tail = recording.path.read_bytes().split(b"\n")
    there = next(
        count
        for count in range(min(len(rows), len(lines)), -1, -1)
        if lines[len(lines) - count :] == list(rows[:count])
    )
    missing = b"".join(row + b"\n" for row in rows[there:])
    if tail and missing.startswith(tail):
        return missing[len(tail) :]
    return line_end(recording) + missing if missing else b""


def _rows(data: bytes) -> list[bytes]:
    """The ended lines below the column names: a recorder writes one line a row."""
    *lines, _torn = data.split(b"\n")
    return [line for line in lines if not line.startswith(b"#")][1:]
