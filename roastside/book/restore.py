"""Putting a backup back: `roastside restore FILE`."""

from __future__ import annotations

import os
import shutil
import zipfile
from datetime import datetime
from pathlib import Path

from roastside.book.archive import SETTINGS_NAME, Entry, verified
from roastside.book.exchange import exchange, finish, folder_for_new, is_under_way
from roastside.book.intake import RECORDINGS, REFERENCES
from roastside.book.rebuild import counted
from roastside.book.store import BESIDE, BOOK_NAME, writers_lock
from roastside.core.errors import BookError, StoreError
from roastside.core.text import clean
from roastside.record import disk
from roastside.record.disk import is_being_recorded

_OURS = (*(f"{BOOK_NAME}{ending}" for ending in BESIDE), RECORDINGS, REFERENCES, SETTINGS_NAME)


def restore(home: Path, file: Path, at: datetime, replace: bool = False) -> Path | None:
    """Put everything in a backup into `home`, once the whole of it is verified.

    What is there already is in the way, or with `replace` moved into a folder with the time `at`
    in its name, which is returned. Raises BookError, a sentence, if the backup is damaged, things
    are in the way, or another roastside is open; StoreError if it cannot be stored. Then
    everything is as it was.
    """
    entries = verified(file)
    lock, why_not = writers_lock(home)
    if lock is None:
        raise BookError(f"nothing can be restored, as {why_not}; close it first")
    try:
        finish(home)
        in_the_way = [name for name in _OURS if _is_something(home / name)]
        if in_the_way and not replace:
            raise BookError(
                f"{clean(str(home))} already holds {in_the_way[0]}; with --replace it "
                "is moved aside, into a folder with the date"
            )
        if any(is_being_recorded(path) for path in (home / RECORDINGS).glob("*.csv")):
            raise BookError("nothing can be restored while a roast is being recorded; end it first")
        try:
            new = folder_for_new(home)
            try:
                _unpack(file, entries, new)
                return exchange(home, new, in_the_way, at)
            finally:
                if not is_under_way(home):
                    shutil.rmtree(new, ignore_errors=True)
        except OSError as error:
            raise StoreError(
                f"{clean(str(file))} cannot be restored into {clean(str(home))} "
                f"({disk.reason(error)}); free some space and try again"
            ) from error
    finally:
        os.close(lock)


def restore_and_tell(home: Path, file: Path, replace: bool) -> int:
    """The command: restore, and say what was done; the exit code. Raises as `restore`."""
    aside = restore(home, file, datetime.now(), replace)
    roasts = sum(1 for _ in (home / RECORDINGS).glob("*.csv"))
    print(f"Restored into {clean(str(home))}: {counted(roasts, 'recording')}.")
    if aside is not None:
        print(f"What was there is kept in {clean(str(aside))}.")
    return 0


def _is_something(path: Path) -> bool:
    """Whether there is anything to lose; empty folders are made at every start."""
    return any(path.iterdir()) if path.is_dir() else path.exists()


def _unpack(file: Path, entries: dict[str, Entry], into: Path) -> None:
    """Write the files of a verified backup, safely on the disk."""
    with zipfile.ZipFile(file) as archive:
        for name, entry in entries.items():
            path = into / name
            path.parent.mkdir(parents=True, exist_ok=True)
            with archive.open(name) as stored, path.open("xb") as stream:
                shutil.copyfileobj(stored, stream)
                stream.flush()
                disk.sync(stream.fileno())
            # The book knows by its time whether a recording has changed.
            os.utime(path, ns=(entry.modified_ns, entry.modified_ns))
