"""The book's file: opening it, bringing it up to date, and one writer at a time."""

from __future__ import annotations

import contextlib
import os
import sqlite3
import time
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import TracebackType
from typing import Any

from roastside.book.connection import Connection, named, trouble
from roastside.book.exchange import finish, is_under_way
from roastside.book.schema import STEPS, VERSION
from roastside.core.errors import BookError, StoreError
from roastside.core.text import clean
from roastside.record import disk

BOOK_NAME = "book.sqlite3"

BESIDE = ("", "-wal", "-shm")
"""SQLite keeps a book that was not closed in up to three files, of the same name and these ends."""

APPLICATION_ID = 0x726F6173
"""Marks an SQLite file as a book (`PRAGMA application_id`): "roas"."""

LATEST_NS = 2**63 - 1
"""The latest time of change (ns) that SQLite can hold, in the year 2262."""

HOLDS_THE_BOOK = "has the book open for writing"
"""What another roastside does that keeps this one from writing."""

_BUSY_S = 2.0
_LOOK_AGAIN_S = 0.02


class _OlderError(BookError):
    """The book is of an earlier version, and is opened for reading."""


class Book:
    """An open book. One process writes, any number read.

    Whatever is done with `db` raises BookError, a sentence, if the book is damaged, busy or cannot
    be kept.

    `home` is the folder that holds the book, its recordings and references; files in the book are
    named relative to it. `writable` tells whether changes can be made; if not, `why_not` says why.
    """

    def __init__(
        self,
        home: Path,
        connection: Connection,
        lock: int | None,
        why_not: str,
        name: str = BOOK_NAME,
    ) -> None:
        self.home = home
        self.path = home / name
        self.db = connection
        self.why_not = why_not
        self._lock = lock
        self._owns_lock = True

    @classmethod
    def open(cls, home: Path, write: bool = True) -> Book:
        """Open the book in `home`, making or updating it where it is to be written.

        If another roastside writes it, it is opened for reading. An older book is updated first in
        any case. Raises BookError, a sentence, if it is no book, is damaged, is of a newer
        roastside, or (for reading) is not there.
        """
        if not write:
            try:
                return cls._opened(home, BOOK_NAME, None, "it was opened for reading only")
            except _OlderError:
                cls.open(home).close()
                return cls._opened(home, BOOK_NAME, None, "it was opened for reading only")
        lock, why_not = writers_lock(home)
        if why_not.endswith(HOLDS_THE_BOOK):
            _let_it_be_made(home / BOOK_NAME)
        return cls._opened(home, BOOK_NAME, lock, why_not)

    @classmethod
    def anew(cls, home: Path, name: str) -> Book:
        """An empty book in a file of this name, before it becomes the book of `home`.

        What an earlier try left there is removed. Raises BookError if another roastside writes.
        """
        lock, why_not = writers_lock(home)
        if lock is None:
            close = "; close its Log and try again" if why_not.endswith(HOLDS_THE_BOOK) else ""
            raise BookError(f"no book can be made in {clean(str(home))}, as {why_not}{close}")
        for ending in BESIDE:
            with contextlib.suppress(FileNotFoundError):
                (home / f"{name}{ending}").unlink()
        return cls._opened(home, name, lock, why_not)

    @classmethod
    def in_memory(cls, home: Path, why_not: str = "") -> Book:
        """An empty book over the files of `home` that is kept nowhere.

        It can be changed unless `why_not` says why not. Nothing is raised.
        """
        connection = _prepared(
            sqlite3.connect(
                ":memory:", isolation_level=None, check_same_thread=False, factory=Connection
            ),
            home / BOOK_NAME,
        )
        take_steps(connection)
        return cls(home, connection, None, why_not)

    @classmethod
    def _opened(cls, home: Path, name: str, lock: int | None, why_not: str) -> Book:
        path = home / name
        try:
            _whole(home, lock is not None, why_not)
            connection = _connect(path, lock is not None)
            try:
                check(connection, path)
                if lock is not None:
                    _bring_up_to_date(connection, path)
                elif _version(connection) != VERSION:
                    raise _OlderError(
                        f"{named(path)} is of another version and cannot be updated now, as "
                        f"{why_not}; close the other roastside and try again"
                    )
            except BaseException:
                connection.close()
                raise
        except sqlite3.Error as error:
            _release(lock)
            raise trouble(path, error) from error
        except BaseException:
            _release(lock)
            raise
        return cls(home, connection, lock, why_not, name)

    def beside(self) -> Book:
        """The same book over a connection of its own, for another thread; to be closed first.

        Two threads must not share one: SQLite keeps a connection to itself while it waits for
        Python to run `casefold`, and Python may be waiting for that connection. Raises BookError.
        """
        try:
            connection = _connect(self.path, self.writable, make=False)
        except sqlite3.Error as error:
            raise trouble(self.path, error) from error
        beside = Book(self.home, connection, self._lock, self.why_not, self.path.name)
        beside._owns_lock = False
        return beside

    @property
    def writable(self) -> bool:
        """Whether this process may change the book."""
        return not self.why_not

    @contextlib.contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """All of the changes made inside, or none. Raises BookError if they cannot be kept."""
        if not self.writable:
            raise BookError(f"{named(self.path)} cannot be changed, as {self.why_not}")
        self.db.execute("BEGIN IMMEDIATE")
        try:
            yield self.db
            self.db.execute("COMMIT")
        except BaseException:
            # SQLite has rolled back by itself where the disk was full.
            if self.db.in_transaction:
                self.db.execute("ROLLBACK")
            raise

    def named(self, file: Path) -> str:
        """How the book names a file: relative to `home` where it lies inside, with slashes."""
        with contextlib.suppress(ValueError):
            return file.absolute().relative_to(self.home.absolute()).as_posix()
        return file.absolute().as_posix()

    def located(self, name: str) -> Path:
        """Where the file is that the book calls `name`."""
        return self.home / name

    def close(self) -> None:
        """Close it; closing again does nothing."""
        self.db.close()
        if self._owns_lock:
            _release(self._lock)
        self._lock = None

    def __enter__(self) -> Book:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()


def put(db: sqlite3.Connection, table: str, values: Mapping[str, Any], row_id: int | None) -> int:
    """Make a row of these columns, or change the row with this id; its id."""
    if row_id is None:
        columns, places = ", ".join(values), ", ".join("?" * len(values))
        made = db.execute(
            f"INSERT INTO {table} ({columns}) VALUES ({places})", tuple(values.values())
        )
        return int(made.lastrowid or 0)
    changes = ", ".join(f"{column} = ?" for column in values)
    db.execute(f"UPDATE {table} SET {changes} WHERE id = ?", (*values.values(), row_id))
    return row_id


def _connect(path: Path, write: bool, make: bool = True) -> Connection:
    if not write and not path.exists():
        raise BookError(
            f"{named(path)} is not there yet; roastside makes it when it is begun and can write"
        )
    mode = ("rwc" if make else "rw") if write else "ro"
    connection = sqlite3.connect(
        f"{path.absolute().as_uri()}?mode={mode}",
        uri=True,
        timeout=_BUSY_S,
        isolation_level=None,
        check_same_thread=False,
        factory=Connection,
    )
    return _prepared(connection, path)


def _prepared(connection: Connection, path: Path) -> Connection:
    connection.path = path
    connection.row_factory = sqlite3.Row
    connection.execute("PRAGMA foreign_keys = ON")
    # SQLite itself knows upper and lower case of ASCII only.
    connection.create_function("casefold", 1, str.casefold, deterministic=True)
    return connection


def _let_it_be_made(path: Path) -> None:
    """Wait a little for the process that has the lock, which may be making the book just now."""
    for _ in range(int(_BUSY_S / _LOOK_AGAIN_S)):
        with (
            contextlib.suppress(sqlite3.Error, BookError),
            contextlib.closing(_connect(path, write=False)) as connection,
        ):
            if _version(connection):
                return
        time.sleep(_LOOK_AGAIN_S)


def _whole(home: Path, write: bool, why_not: str) -> None:
    """See to it that the home is no half of two. Raises BookError if it is, and cannot be ended."""
    if write:
        finish(home)
    elif is_under_way(home):
        raise BookError(
            f"a backup is being restored into {clean(str(home))}, or that was cut short and waits, "
            f"as {why_not}; start roastside again when that has ended"
        )


def check(connection: sqlite3.Connection, path: Path) -> None:
    """Raises BookError for what is no book of ours, and for a book of a later version."""
    empty = connection.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0] == 0
    if not empty and connection.execute("PRAGMA application_id").fetchone()[0] != APPLICATION_ID:
        raise BookError(f"{named(path)} is no book of roastside; move it elsewhere and begin anew")
    if _version(connection) > VERSION:
        raise BookError(
            f"{named(path)} was made by a newer roastside (version {_version(connection)} of the "
            f"book, and {VERSION} is known here); update roastside"
        )


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _bring_up_to_date(connection: sqlite3.Connection, path: Path) -> None:
    """Have the book kept safely, and take the steps missing, after a copy of the old book."""
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = NORMAL")
    if 0 < _version(connection) < VERSION:
        _copy(connection, path.with_name(f"book before version {VERSION}.sqlite3"))
    take_steps(connection)


def take_steps(connection: sqlite3.Connection) -> None:
    """Take the steps that are missing to today's tables, each wholly or not at all."""
    for number, step in enumerate(STEPS[_version(connection) :], _version(connection) + 1):
        try:
            connection.executescript(
                f"BEGIN IMMEDIATE;{step};PRAGMA application_id = {APPLICATION_ID};"
                f"PRAGMA user_version = {number};COMMIT;"
            )
        except BaseException:
            if connection.in_transaction:
                connection.execute("ROLLBACK")
            raise


def _copy(connection: sqlite3.Connection, to: Path) -> None:
    target = sqlite3.connect(to)
    try:
        connection.backup(target)
    finally:
        target.close()


def writers_lock(home: Path) -> tuple[int | None, str]:
    """The lock of the one writer, or None and why there is none."""
    try:
        home.mkdir(parents=True, exist_ok=True)
        lock = os.open(home / f"{BOOK_NAME}.writer", os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as error:
        return None, f"nothing can be written to {clean(str(home))} ({disk.reason(error)})"
    try:
        disk.lock(lock, BOOK_NAME)
    except StoreError:
        os.close(lock)
        return None, f"another roastside {HOLDS_THE_BOOK}"
    return lock, ""


def _release(lock: int | None) -> None:
    if lock is not None:
        os.close(lock)
