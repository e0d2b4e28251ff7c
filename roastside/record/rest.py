"""The rest of a recording: what its own disk did not take, and putting the two together."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Mapping
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
_SPARE_BYTES = 4096


def is_rest(name: str) -> bool:
    """Whether a file is called like the rest of a recording."""
    return _NAME.fullmatch(name) is not None


def rest_header(header: Mapping[str, str], recording: Path) -> dict[str, str]:
    """The header of a rest: that of its recording, and where that is."""
    return {**header, REST_OF: str(recording.absolute())}


def recording_of(rest: Path, header: Mapping[str, str]) -> Path | None:
    """The recording that a rest belongs to, there or not; None if the file is no rest.

    A home that was moved is still one: the recording is also looked for beside the rest.
    """
    named = header.get(REST_OF)
    if not named or not is_rest(rest.name):
        return None
    beside = rest.with_name(Path(named).name)
    return beside if beside.is_file() and not Path(named).is_file() else Path(named)


def join_rest(rest: Path) -> Path | None:
    """Append a rest to its recording, whole or not at all, and take it away; the recording.

    If there is no such recording the rest becomes it. An end at any moment loses nothing: the next
    time appends only what is not there yet. None if the file is no rest, or one of the two is still
    being recorded.

    Raises StoreError if that cannot be done now, and RecordError if it never can.
    """
    try:
        found = read_roast_file(rest)
    except RecordError:
        return None
    recording = recording_of(rest, found.header)
    if recording is None or any(map(disk.is_being_recorded, (rest, recording))):
        return None
    try:
        data = rest.read_bytes()
        if recording.is_file():
            _append(found, data, recording)
        else:
            recording.parent.mkdir(parents=True, exist_ok=True)
            os.close(disk.create(recording, data))
        rest.unlink()
    except OSError as error:
        raise StoreError(
            f"What is in {clean(str(rest))} could not be put to its recording "
            f"{clean(str(recording))} ({disk.reason(error)}); free some space, or check the disk."
        ) from error
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
        there = set(recording.read_bytes().split(b"\n"))
        rows = [line for line in _rows(data) if line not in there]
        added = line_end(found) + b"".join(line + b"\n" for line in rows) if rows else b""
        if shutil.disk_usage(recording.parent).free < len(added) + _SPARE_BYTES:
            raise StoreError(
                f"There is no room yet to put what is in {clean(str(rest.path))} to its recording "
                f"{clean(str(recording))}; free some space on that disk."
            )
        disk.write_all(fd, added)
        disk.sync(fd)
    finally:
        os.close(fd)


def _rows(data: bytes) -> list[bytes]:
    """The ended lines below the column names: a recorder writes one line a row."""
    *lines, _torn = data.split(b"\n")
    return [line for line in lines if not line.startswith(b"#")][1:]
