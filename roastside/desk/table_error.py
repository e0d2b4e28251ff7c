"""Why a table cannot be taken in, and at which of its lines."""

from __future__ import annotations

from roastside.core.errors import RecordError


class TableError(RecordError):
    """A phrase that says why; `line` (from 1) is where, if it is in one place."""

    def __init__(self, reason: str, line: int | None = None) -> None:
        super().__init__(reason)
        self.line = line
