"""The recording of a roast: every reading and mark is in the file before anything else happens."""

from __future__ import annotations

import contextlib
import os
import threading
from collections.abc import Mapping, Sequence
from pathlib import Path

from roastside.core.errors import StoreError
from roastside.core.readings import Mark, Reading
from roastside.core.text import clean
from roastside.record import disk
from roastside.record.format import fact_mark, head_text, recording_columns, row_text
from roastside.record.rest import REST, rest_header

SYNC_EVERY_S = 0.9
"""Contract 3 asks for once a second; the rest is for the disk to answer."""


class Recorder:
    """Appends to a new roast file and never rewrites.

    `append` hands each row to the operating system at once, so that the end of this program
    loses nothing; a thread has the disk confirm them, at once after a mark and otherwise every
    SYNC_EVERY_S, so that a slow disk holds nobody up. Rows that cannot be written or confirmed
    are kept in memory and tried again, from the exact byte where the file ends.

    `moved` tells, in two sentences, why and where it was begun, if that is not where it was to be;
    `path` is where it is.

    `append` and the properties may be used from any thread.
    """

    def __init__(
        self,
        path: str | os.PathLike[str],
        header: Mapping[str, str],
        extra_columns: Sequence[str] = (),
        rescue_dirs: Sequence[Path] = (),
        anywhere: bool = False,
    ) -> None:
        """`extra_columns` are the further temperatures to record, each ending in `_c`.

        `rescue_dirs`: where rows go that cannot be stored in `path`, the best place first;
        `anywhere`: and all of the recording, if it cannot even begin there.

        Raises UsageError for a header key or column name that is not well formed.
        """
        self.path = Path(path)
        self._columns = recording_columns(extra_columns)
        self._head = head_text(header, self._columns).encode()
        self._rest_head = head_text(rest_header(header, self.path), self._columns).encode()
        self._rest_name = f"{self.path.stem}{REST}"
        self._rescue_dirs = tuple(rescue_dirs)
        self._anywhere = anywhere
        self.moved = ""
        self._fd: int | None = None
        self._lock = threading.Lock()
        self._rows: list[bytes] = []  # not yet confirmed by the disk, oldest first
        self._written = 0  # how many of them are written
        self._written_of_next = 0  # bytes of the row after those that are written too
        self._write_fault = ""
        self._sync_fault = ""
        self._wake = threading.Event()
        self._closing = False
        self._syncer = threading.Thread(target=self._keep_syncing, name="recorder", daemon=True)

    def open(self) -> None:
        """Make the file and write its head. Raises StoreError if it cannot be stored there."""
        try:
            fd = disk.create(self.path, self._head)
        except StoreError as error:
            # Somebody else's recording is no reason to begin a rest of it.
            folders = self._rescue_dirs if self._anywhere and not self.path.exists() else ()
            elsewhere = disk.create_in(folders, self._rest_name, self._rest_head)
            if elsewhere is None:
                raise
            fd, self.path = elsewhere
            self.moved = f"{error} For now it is kept in {clean(str(self.path))}."
        self._begin(fd)

    def _begin(self, fd: int) -> None:
        self._fd = fd
        self._syncer.start()

    def append(self, item: Reading | Mark) -> None:
        """Store a row. A full or failing disk raises nothing: see `fault`.

        Raises StoreError only if the recording is not open.
        """
        row = row_text(item, self._columns).encode()
        with self._lock:
            if self._fd is None:
                raise StoreError(
                    f"The recording {clean(str(self.path))} is not open; begin a new recording."
                )
            self._rows.append(row)
            self._write(self._fd)
        if isinstance(item, Mark):
            self._wake.set()

    def note_fact(self, key: str, value: str, time_s: float) -> None:
        """Store a fact about the roast, which readers merge into its header.

        Raises UsageError for a key that is not well formed, StoreError as `append`.
        """
        self.append(fact_mark(time_s, key, value))

    @property
    def unsaved_rows(self) -> int:
        """How many rows are in memory only, or were lost by the disk after it took them."""
        with self._lock:
            return self._count_unsaved()

    @property
    def fault(self) -> str:
        """Why the recording cannot be stored just now, a sentence; empty when all is well."""
        with self._lock:
            problem = self._sync_fault or self._write_fault
            if not problem:
                return ""
            return (
                f"recording not stored ({problem}): free some space on its disk, or check it; "
                f"{_rows(self._count_unsaved())} wait in memory; {clean(str(self.path))}"
            )

    def close(self) -> None:
        """Store what is left and close the file; closing again does nothing.

        Rows that cannot be stored go to a new roast file in the first rescue folder that takes
        them. Raises StoreError if there were any, and tells where they are.
        """
        with self._lock:
            if self._fd is None or self._closing:
                return
            self._closing = True
        self._wake.set()
        self._syncer.join()
        with self._lock:
            fd, self._fd = self._fd, None
        self._save(fd)
        with contextlib.suppress(OSError):
            os.close(fd)
        if self._rows:
            self._rescue()

    def _keep_syncing(self) -> None:
        while not self._closing:
            self._wake.wait(SYNC_EVERY_S)
            self._wake.clear()
            if self._fd is not None:
                self._save(self._fd)

    def _write(self, fd: int) -> None:
        """Write what is unwritten, as far as the disk takes it. Called with the lock held."""
        try:
            while self._written < len(self._rows):
                row = self._rows[self._written]
                self._written_of_next += os.write(fd, row[self._written_of_next :])
                if self._written_of_next == len(row):
                    self._written += 1
                    self._written_of_next = 0
        except OSError as error:
            self._write_fault = disk.reason(error)
        else:
            self._write_fault = ""

    def _save(self, fd: int) -> None:
        """Write what is unwritten and have the disk confirm it, without holding up `append`."""
        with self._lock:
            self._write(fd)
            written = self._written
        if not written:
            return
        try:
            disk.sync(fd)
        except OSError as error:
            with self._lock:
                self._sync_fault = disk.reason(error)
            return
        with self._lock:
            # After one failed sync a system may drop the rows and call the next sync a success
            # (Rebello et al., "Can applications recover from fsync failures?", USENIX ATC 2020),
            # so from then on rows stay in memory for the rescue.
            if not self._sync_fault:
                del self._rows[:written]
                self._written -= written

    def _count_unsaved(self) -> int:
        return len(self._rows) - (0 if self._sync_fault else self._written)

    def _rescue(self) -> None:
        problem = self._sync_fault or self._write_fault
        lost = f"{_rows(len(self._rows))} of the recording {clean(str(self.path))} could not be"
        copy = self._rest_head + b"".join(self._rows)
        saved = disk.create_in(self._rescue_dirs, self._rest_name, copy)
        if saved is None:
            raise StoreError(
                f"{lost} stored ({problem}), nor anywhere else, and are lost; free some space or "
                "choose another disk before the next roast."
            )
        fd, rescued = saved
        os.close(fd)
        raise StoreError(
            f"{lost} stored ({problem}) and are in {clean(str(rescued))} instead; free some space "
            "and start roastside again before this machine is switched off, and it puts them "
            "together."
        )


def _rows(count: int) -> str:
    return "1 row" if count == 1 else f"{count} rows"
