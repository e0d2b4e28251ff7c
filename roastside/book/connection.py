"""A connection to a book that complains in sentences: whatever SQLite says comes as BookError."""

from __future__ import annotations

import functools
import sqlite3
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, TypeVar

from roastside.core.errors import BookError
from roastside.core.text import clean

_Given = ParamSpec("_Given")
_Got = TypeVar("_Got")


def trouble(path: Path, error: sqlite3.Error) -> BookError:
    """What SQLite complains of, as a sentence."""
    reason = clean(str(error))
    if "locked" in reason or "busy" in reason:
        return BookError(f"{named(path)} is busy in another program; close it and try again")
    if any(words in reason for words in ("malformed", "not a database", "decode to UTF-8")):
        return BookError(
            f"{named(path)} is damaged ({reason}); restore a backup, or move it elsewhere and run "
            "'roastside rebuild', which makes it anew from the recordings"
        )
    if "full" in reason:
        return BookError(f"{named(path)} cannot be written, as the disk is full; free some space")
    return BookError(f"{named(path)} cannot be used ({reason}); check its folder and the disk")


def named(path: Path) -> str:
    """How a sentence names a book."""
    return f"the book {clean(str(path))}"


def _in_words(
    method: Callable[Concatenate[Any, _Given], _Got],
) -> Callable[Concatenate[Any, _Given], _Got]:
    """The same method of a cursor, that raises BookError instead of what SQLite raises."""

    @functools.wraps(method)
    def called(cursor: Any, /, *given: _Given.args, **named: _Given.kwargs) -> _Got:
        try:
            return method(cursor, *given, **named)
        except sqlite3.Error as error:
            raise trouble(cursor.connection.path, error) from error

    return called


class Cursor(sqlite3.Cursor):
    """Where SQLite meets a damaged page, a full disk or a lock: at the first row or at any later.

    Every method raises BookError.
    """

    execute = _in_words(sqlite3.Cursor.execute)
    executemany = _in_words(sqlite3.Cursor.executemany)
    executescript = _in_words(sqlite3.Cursor.executescript)
    fetchone = _in_words(sqlite3.Cursor.fetchone)
    fetchmany = _in_words(sqlite3.Cursor.fetchmany)
    fetchall = _in_words(sqlite3.Cursor.fetchall)
    __next__ = _in_words(sqlite3.Cursor.__next__)


class Connection(sqlite3.Connection):
    """A connection that complains in sentences, as its cursors do. `path` is the book's file."""

    path: Path

    def execute(self, sql: str, parameters: Any = (), /) -> sqlite3.Cursor:
        """As `sqlite3.Connection.execute`. Raises BookError."""
        return self._cursor().execute(sql, parameters)

    def executemany(self, sql: str, parameters: Iterable[Any], /) -> sqlite3.Cursor:
        """As `sqlite3.Connection.executemany`. Raises BookError."""
        return self._cursor().executemany(sql, parameters)

    def executescript(self, sql: str, /) -> sqlite3.Cursor:
        """As `sqlite3.Connection.executescript`. Raises BookError."""
        return self._cursor().executescript(sql)

    def _cursor(self) -> sqlite3.Cursor:
        try:
            return self.cursor(Cursor)
        except sqlite3.Error as error:  # it was closed
            raise trouble(self.path, error) from error
