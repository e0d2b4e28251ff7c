"""Where roastside keeps its things on this machine (contract 4)."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from roastside.core.errors import StoreError
from roastside.record import disk

BEGUN = "%Y-%m-%d %H.%M.%S"
"""A recording is called by when it was begun, by the clock of the shop."""


def home() -> Path:
    """`$ROASTSIDE_HOME`, or the platform's data directory."""
    chosen = os.environ.get("ROASTSIDE_HOME")
    if chosen:
        return Path(chosen).expanduser()
    from platformdirs import user_data_path

    return user_data_path("roastside", appauthor=False)


def recordings() -> Path:
    """The directory of recordings, made if need be. Raises StoreError if it cannot be."""
    place = home() / "recordings"
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"cannot make the folder {place} for recordings ({error.strerror or error}); "
            "set ROASTSIDE_HOME to a folder you can write to"
        ) from error
    return place


def new_recording(started_at: datetime) -> Path:
    """A file name for a recording begun now, that no other recording has.

    Its folder is made, if it can be.
    """
    with suppress(StoreError):
        recordings()
    return disk.free_name(home() / "recordings", started_at.strftime(BEGUN), ".csv")


def rescue_folders(make: bool = True) -> tuple[Path, ...]:
    """Where rows go that their own disk did not take, the best place first.

    `make`: the folder of recordings, if it is not there; else it is named all the same.
    A temporary folder may be emptied when the machine is switched off, so it is the last.
    """
    folders: list[Path] = []
    with suppress(StoreError):
        folders.append(recordings() if make else home() / "recordings")
    with suppress(RuntimeError):
        folders.append(Path.home())
    with suppress(OSError):  # there is none if all of them are full
        folders.append(Path(tempfile.gettempdir()))
    return tuple(folders)


def under_way() -> Path:
    """The folder of notes on roasts that were begun and are not known to have ended."""
    return home() / "under way"


def any_under_way() -> bool:
    """Whether there is any such note."""
    with suppress(OSError):
        return any(under_way().glob("*.json"))
    return False


def cautions_were_read() -> bool:
    """Whether a person on this machine has been shown the safety cautions."""
    return _cautions_note().exists()


def note_cautions_read() -> None:
    """Remember that they were; if that cannot be kept they are simply shown again."""
    with suppress(OSError):
        home().mkdir(parents=True, exist_ok=True)
        _cautions_note().touch()


def _cautions_note() -> Path:
    return home() / "cautions-read"
