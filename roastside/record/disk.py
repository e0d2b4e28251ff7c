"""Append-only files on a disk: opening, locking, syncing, and saying what went wrong."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import sys
from collections.abc import Iterable
from pathlib import Path

from roastside.core.errors import StoreError
from roastside.core.text import clean

_BINARY = getattr(os, "O_BINARY", 0)
_NO_SYNC_HERE = (errno.EINVAL, errno.ENOTSUP)


def reason(error: OSError | ValueError) -> str:
    """What the operating system says, as a phrase."""
    strerror = error.strerror if isinstance(error, OSError) else None
    return clean(strerror or str(error))


def create(path: Path, head: bytes) -> int:
    """Make the file with `head` in it, safely on the disk; the descriptor appends and is locked.

    An empty file that is already there is taken.

    Raises StoreError, one sentence, if it cannot be stored there or holds something already.
    """
    name = clean(str(path))
    try:
        if path.exists() and not path.is_file():
            raise StoreError(f"{name} is not an ordinary file; record under another name.")
        fd = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND | _BINARY, 0o644)
    except FileNotFoundError as error:
        raise StoreError(
            f"The recording {name} cannot be stored, as its folder is not there; make the folder "
            "or choose another."
        ) from error
    except PermissionError as error:
        raise StoreError(
            f"The recording {name} cannot be stored, as you may not write there; choose another "
            "folder or change its permissions."
        ) from error
    except (OSError, ValueError) as error:
        raise _not_stored(name, error) from error
    try:
        lock(fd, name)
        if os.fstat(fd).st_size:
            raise StoreError(
                f"{name} already holds something, and a recording never overwrites; record under "
                "another name."
            )
        _fill(fd, head, path)
    except BaseException:
        os.close(fd)
        raise
    return fd


def _fill(fd: int, head: bytes, path: Path) -> None:
    """Write the first bytes; a file that cannot even take these is taken away again."""
    try:
        write_all(fd, head)
        sync(fd)
    except OSError as error:
        with contextlib.suppress(OSError):
            path.unlink()
        raise _not_stored(clean(str(path)), error) from error
    sync_folder(path.parent)


def open_for_appending(path: Path) -> int:
    """A locked descriptor that appends to a file which is there. Raises StoreError."""
    name = clean(str(path))
    try:
        fd = os.open(path, os.O_RDWR | os.O_APPEND | _BINARY)
    except (OSError, ValueError) as error:
        raise StoreError(
            f"Nothing can be added to {name} ({reason(error)}); check that the file is there and "
            "that you may write it."
        ) from error
    try:
        lock(fd, name)
    except StoreError:
        os.close(fd)
        raise
    return fd


def write_all(fd: int, data: bytes) -> None:
    """Write every byte, or raise OSError."""
    while data:
        data = data[os.write(fd, data) :]


def sync(fd: int) -> None:
    """Have the disk confirm what was written. Raises OSError."""
    try:
        os.fsync(fd)
    except OSError as error:
        # Some network and user-space file systems cannot be asked.
        if error.errno not in _NO_SYNC_HERE:
            raise


def sync_folder(folder: Path) -> None:
    """Have the disk remember a new file's name, where the system can be asked."""
    with contextlib.suppress(OSError):
        fd = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(fd)
        finally:
            os.close(fd)


def free_name(folder: Path, stem: str, suffix: str = "") -> Path:
    """The first of `stem`, `stem (2)`, `stem (3)`... that nothing in a folder is called."""
    count, free = 1, folder / f"{stem}{suffix}"
    while free.exists():
        count += 1
        free = folder / f"{stem} ({count}){suffix}"
    return free


def second_name(path: Path, name: Path) -> None:
    """Let a file be found under another name too, or copy it where it can have only one.

    Raises OSError, if `name` is there already too.
    """
    try:
        os.link(path, name)
    except FileExistsError:
        raise
    except OSError:
        with path.open("rb") as stream, name.open("xb") as copy:
            shutil.copyfileobj(stream, copy)
            copy.flush()
            sync(copy.fileno())


def move_to_free_name(path: Path, name: Path) -> None:
    """Give a file another name, whole or not at all, and never in the place of another file.

    Raises FileExistsError if the name is taken, and OSError.
    """
    if sys.platform == "win32":
        path.rename(name)  # which never overwrites there
        return
    try:
        os.link(path, name)
    except FileExistsError:
        raise
    except OSError:
        # Memory sticks know no second names. An empty file keeps the name until the next step.
        os.close(os.open(name, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644))
        path.replace(name)
        return
    path.unlink()


def lock(fd: int, name: str) -> None:
    """Be the only writer until the descriptor is closed. Raises StoreError if another is."""
    try:
        _lock(fd)
    except (BlockingIOError, PermissionError) as error:
        raise StoreError(
            f"{name} is being recorded by another roastside; stop that one first or record under "
            "another name."
        ) from error
    except OSError:
        # A file system without locks still stores a roast.
        return


def is_being_recorded(path: Path) -> bool:
    """Whether a recorder holds the file's lock, as it does until the roast is over."""
    try:
        # A recorder that has just made its file has yet to lock it, and must not be beaten to it.
        if not path.stat().st_size:
            return False
        file = os.open(path, os.O_RDWR)
    except OSError:
        return False
    try:
        lock(file, path.name)
    except StoreError:
        return True
    finally:
        os.close(file)
    return False


def create_in(folders: Iterable[Path], stem: str, data: bytes) -> tuple[int, Path] | None:
    """Make a new CSV file, as `create` does, in the first folder that takes it; None if none does.

    Called `stem-1`, or the next number that is free.
    """
    for folder in folders:
        for number in range(1, 100):
            path = folder / f"{stem}-{number}.csv"
            try:
                return create(path, data), path
            except StoreError:
                if not _is_there(path):
                    break
    return None


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except OSError:
        return False


def _not_stored(name: str, error: OSError | ValueError) -> StoreError:
    return StoreError(
        f"The recording {name} cannot be stored ({reason(error)}); free some space or choose "
        "another folder."
    )


if sys.platform == "win32":
    import msvcrt

    _FAR_BEYOND_THE_END = 2**30

    def _lock(fd: int) -> None:
        # Locked bytes cannot be read by others here, so one is taken where no roast reaches.
        os.lseek(fd, _FAR_BEYOND_THE_END, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _lock(fd: int) -> None:
        fcntl.flock(fd, fcntl.LOCK_EX | fcntl.LOCK_NB)
