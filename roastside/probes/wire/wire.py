"""The face of every meaning of bytes: bytes and the time they came in, readings out."""

from __future__ import annotations

from typing import Protocol

from roastside.core.readings import Reading


class Wire(Protocol):
    """Turns bytes into readings. Pure: no I/O and no clock, so tests feed it byte strings.

    Memory is bounded whatever comes in, and no bytes make it raise.
    """

    channels: tuple[str, ...]
    """What it looks for: `bean`, `air`, and further channels whose names end in `_c`."""

    lines_seen: int
    """Whole lines (or frames) so far, sense or not; blank ones are not counted."""

    last_unread: str
    """The last line that was no reading, printable and short; empty once one is again."""

    def begin(self, mid_line: bool) -> None:
        """The line was opened anew: what was half received is forgotten.

        mid_line: the first bytes may belong to the middle of a line, so that a cut
        `3.25` may be what is left of `203.25`.
        """

    def feed(self, data: bytes, at_s: float) -> list[Reading]:
        """Readings completed by `data`, stamped `at_s` (seconds, never going back).

        No bytes at all (`b""`) tells that time has passed.
        """
        ...
