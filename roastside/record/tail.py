"""The end of a roast file that is to be written on."""

from __future__ import annotations

import os
from pathlib import Path

from roastside.record import format as words
from roastside.record.cells import split_cells
from roastside.record.head import LONGEST_LINE_BYTES
from roastside.record.reader import RoastFile


def line_end(found: RoastFile) -> bytes:
    """What ends the last line of a file: nothing if it is ended, and a sign if it was torn.

    So readers see the line as they did before. Raises OSError.
    """
    tail = _unfinished_line(found.path)
    if not tail:
        return b""
    _, is_open = split_cells(tail.decode(errors="replace"))
    quote = '"' if is_open else ""
    sign = words.TORN if found.torn else ""
    return f"{quote}{sign}\n".encode()


def _unfinished_line(path: Path) -> bytes:
    with path.open("rb") as file:
        size = file.seek(0, os.SEEK_END)
        file.seek(max(0, size - LONGEST_LINE_BYTES))
        return file.read().rpartition(b"\n")[2]
