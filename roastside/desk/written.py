"""Writing what was asked for, without ever costing a roast or what stood there before."""

from __future__ import annotations

import contextlib
import os
import secrets
from collections.abc import Callable
from pathlib import Path

from roastside.core.errors import StoreError, UsageError
from roastside.core.text import clean
from roastside.record import disk

_ROAST_FILE = b"# roastside roast file"
_HEAD_BYTES = 512
_BINARY = getattr(os, "O_BINARY", 0)
PART_BEGINS, PART = ".import-", ".part"
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


def write_over(path: Path, write: Callable[[Path], None], own: bytes) -> None:
    """Have `write` fill a new file beside `path`, and put it in its place once it is whole.

    `own`: how an earlier one of its kind begins, the only thing that it takes the place of.

    Raises UsageError if something else is there, or no ordinary file; StoreError if it cannot be
    written, and then what was there still is.
    """
    name = clean(str(path))
    _refuse_what_is_there(path, name, own)
    # Of a fixed length, as a name can be as long as the system takes.
    part = path.with_name(f".{secrets.token_hex(6)}.part{path.suffix}")
    try:
        write(part)
        _confirm(part)
        part.replace(path)
        disk.sync_folder(path.parent)
    except OSError as error:
        raise _not_written(name, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()


def _confirm(part: Path) -> None:
    fd = os.open(part, os.O_RDWR | _BINARY)
    try:
        disk.sync(fd)
    finally:
        os.close(fd)


def write_new(data: bytes, name: Callable[[], Path]) -> Path:
    """Store `data` as a new file, whole or not at all, and never in the place of another; its path.

    `name` gives a name that is free, again if somebody else took it meanwhile. Until the file is
    whole it is a hidden one beside it, ending in `PART`. Raises StoreError.
    """
    path = name()
    part = path.with_name(f"{PART_BEGINS}{secrets.token_hex(6)}{PART}")
    try:
        fd = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o644)
        try:
            disk.write_all(fd, data)
            disk.sync(fd)
        finally:
            os.close(fd)
        while True:
            try:
                disk.move_to_free_name(part, path)
                break
            except FileExistsError:
                path = name()
        disk.sync_folder(path.parent)
    except OSError as error:
        raise _not_written(clean(str(path)), error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink()
    return path


def clear_parts(folder: Path) -> None:
    """Remove what a `write_new` left that was killed. Nobody else may be writing there."""
    for left in folder.glob(f"{PART_BEGINS}*{PART}"):
        with contextlib.suppress(OSError):
            left.unlink()


def _not_written(name: str, error: OSError | ValueError) -> StoreError:
    return StoreError(
        f"{name} cannot be written ({disk.reason(error)}); choose another place or free some space"
    )


def _refuse_what_is_there(path: Path, name: str, own: bytes) -> None:
    try:
        if not path.exists():
            return
        if not path.is_file():
            raise UsageError(f"{name} is not an ordinary file; choose another name")
        with path.open("rb") as file:
            head = file.read(_HEAD_BYTES).removeprefix(_BYTE_ORDER_MARK)
    except (OSError, ValueError) as error:
        raise StoreError(
            f"{name} cannot be written ({disk.reason(error)}); choose another place"
        ) from error
    if head.startswith(_ROAST_FILE):
        raise UsageError(f"{name} is a roast, and nothing overwrites a roast; choose another name")
    if head and not head.startswith(own):
        raise UsageError(
            f"{name} is there already, and is not what roastside would write anew; choose another "
            "name"
        )
