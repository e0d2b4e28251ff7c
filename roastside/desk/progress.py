"""A bar that shows how far many files are, on a terminal only."""

from __future__ import annotations

import sys
from typing import TextIO

from roastside.core.text import clean

_WIDTH = 24
_NAME_WIDTH = 40
_CLEAR = "\r\x1b[K"


class ProgressBar:
    """Drawn over and over on one line of stderr; takes itself away at the end."""

    def __init__(self, to: TextIO | None = None) -> None:
        self._to = to or sys.stderr

    def __call__(self, done: int, total: int, name: str) -> None:
        """Show that `done` of `total` are done and `name` is next. Silent if there is one only."""
        if total < 2 or not self._to.isatty():
            return
        if done >= total:
            self.take_away()
            return
        full = _WIDTH * done // total
        bar = "#" * full + "." * (_WIDTH - full)
        self._to.write(f"{_CLEAR}[{bar}] {done} of {total}  {clean(name, _NAME_WIDTH)}")
        self._to.flush()

    def take_away(self) -> None:
        """Leave the line empty, for something else to be said there."""
        if self._to.isatty():
            self._to.write(_CLEAR)
            self._to.flush()
