"""What is among the recordings already, and the turn of one import at a time to add to them."""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import time
from collections.abc import Iterator
from pathlib import Path

from roastside.core.errors import StoreError
from roastside.desk.written import clear_parts
from roastside.record import disk

IMPORTED_HASH, READINGS_HASH = "imported_hash", "imported_readings"
_HASHES = re.compile(rb"^# (?:imported_hash|imported_readings): ([0-9a-f]{64})\r?$", re.MULTILINE)
_OPENING_BYTES = 4096

_PATIENCE_S = 60.0
_LOOK_EVERY_S = 0.05


class AlreadyThere:
    """The recordings of a folder by the hashes of what they were made of.

    They are those of the file that was imported, of its readings however they were written, and of
    a recording's first bytes, which stay as they are.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._looked_at: set[str] = set()
        self._names: dict[str, str] = {}

    @contextlib.contextmanager
    def turn(self) -> Iterator[None]:
        """Be the only import that adds to the folder, and know what others have added.

        What a killed one left half written is removed. Raises StoreError if another keeps its turn.
        """
        lock = _locked(self._folder.parent / "import.lock")
        try:
            clear_parts(self._folder)
            self._look()
            yield
        finally:
            os.close(lock)

    def name(self, *hashes: str) -> str:
        """The recording that has one of these hashes, empty if none has."""
        return next((self._names[each] for each in hashes if each in self._names), "")

    def _look(self) -> None:
        there = {path.name: path for path in self._folder.glob("*.csv")}
        if gone := self._looked_at - there.keys():
            self._names = {key: name for key, name in self._names.items() if name not in gone}
        for name in sorted(there.keys() - self._looked_at):
            with contextlib.suppress(OSError), there[name].open("rb") as file:
                head = file.read(_OPENING_BYTES)
                self._names.setdefault(opening(head), name)
                for found in _HASHES.finditer(head):
                    self._names.setdefault(found[1].decode(), name)
        self._looked_at = set(there)


def opening(data: bytes) -> str:
    """The hash of a recording's first bytes."""
    return hashlib.sha256(data[:_OPENING_BYTES]).hexdigest()


def _locked(path: Path) -> int:
    """A descriptor that holds the lock, once whoever has it is done. Raises StoreError."""
    try:
        fd = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as error:
        raise StoreError(
            f"nothing can be imported ({path.name}: {disk.reason(error)}); see to it that you may "
            "write to the folder of roastside"
        ) from error
    until = time.monotonic() + _PATIENCE_S
    while True:
        try:
            disk.lock(fd, path.name)
        except StoreError:
            if time.monotonic() > until:
                os.close(fd)
                raise StoreError(
                    "another import is under way and does not end; try again when it has"
                ) from None
            time.sleep(_LOOK_EVERY_S)
        else:
            return fd
