"""Writing what was asked for, without ever costing a roast or what stood there before."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable
from pathlib import Path

from roastside.core.errors import StoreError, UsageError
from roastside.core.text import clean
from roastside.record import disk

_ROAST_FILE = b"# roastside roast file"
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


def write_over(path: Path, write: Callable[[Path], None]) -> None:
    """Have `write` fill a new file beside `path`, and put it in its place once it is whole.

    Raises UsageError if a roast file is there, which nothing may overwrite, or no ordinary file;
    StoreError if it cannot be written, and then what was there still is.
    """
    name = clean(str(path))
    _refuse_roast(path, name)
    part = path.with_name(f".{path.stem}.{os.getpid()}.part{path.suffix}")
    try:
        write(part)
        part.replace(path)
    except OSError as error:
        raise StoreError(
            f"{name} cannot be written ({disk.reason(error)}); choose another place or free some "
            "space"
        ) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def _refuse_roast(path: Path, name: str) -> None:
    try:
        if not path.exists():
            return
        if not path.is_file():
            raise UsageError(f"{name} is not an ordinary file; choose another name")
        with path.open("rb") as file:
            head = file.read(64).removeprefix(_BYTE_ORDER_MARK)
    except (OSError, ValueError) as error:
        raise StoreError(
            f"{name} cannot be written ({disk.reason(error)}); choose another place"
        ) from error
    if head.startswith(_ROAST_FILE):
        raise UsageError(f"{name} is a roast, and nothing overwrites a roast; choose another name")
