"""Facts learned after the roast, such as its roasted weight, added to a finished roast file."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

from roastside.core.errors import StoreError
from roastside.core.text import clean
from roastside.record import disk
from roastside.record import format as words
from roastside.record.reader import RoastFile, read_roast_file
from roastside.record.tail import line_end


def append_fact(path: str | os.PathLike[str], key: str, value: str) -> None:
    """Append `key=value` as a comment row in the file's own columns; nothing is rewritten.

    A last line without its newline is ended first, so that readers see it as they did before.

    Raises RecordError if the file is no roast file, UsageError for a key that is not well formed,
    StoreError if the file cannot be written or has no columns to say it in.
    """
    fd = disk.open_for_appending(Path(path))
    try:
        found = read_roast_file(path)
        disk.write_all(fd, line_end(found) + _fact_row(found, key, value))
        disk.sync(fd)
    except OSError as error:
        raise StoreError(
            f"{clean(key)} could not be added to {clean(str(path))} ({disk.reason(error)}); free "
            "some space and add it again."
        ) from error
    finally:
        os.close(fd)


def _fact_row(found: RoastFile, key: str, value: str) -> bytes:
    if words.MARK not in found.columns or not {words.NOTE, words.VALUE} & set(found.columns):
        raise StoreError(
            f"{clean(str(found.path))} has no columns mark and note, so {clean(key)} cannot be "
            "added to it; add the two columns first."
        )
    last_s = max((row.time_s for row in found.rows), default=0.0)
    fact = words.fact_mark(last_s, key, value)
    if words.NOTE not in found.columns:
        fact = replace(fact, value=fact.note, note="")
    return words.row_text(fact, found.columns).encode()
