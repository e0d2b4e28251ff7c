"""Raw bytes beside what is read from them, for a person's eyes."""

from __future__ import annotations

import re
from collections import deque
from dataclasses import dataclass

from roastside.core.readings import Reading
from roastside.probes.wire.splitter import LONGEST_LINE
from roastside.probes.wire.wire import Wire

_LINE_END = re.compile(rb"\r\n|\r|\n")
_NAMED = {0x09: "\\t", 0x0A: "\\n", 0x0D: "\\r", 0x5C: "\\\\"}


@dataclass(frozen=True, slots=True)
class RawLine:
    """A line as it came, its end included, and the reading it gave, if any."""

    data: bytes
    reading: Reading | None = None


class Overheard:
    """A Wire that keeps each line beside the reading that another wire makes of it.

    keep: how many lines are kept, the newest last; None keeps all. Blank lines are left out.
    """

    def __init__(self, wire: Wire, keep: int | None = None) -> None:
        self.channels = wire.channels
        self.lines_seen = 0
        self.last_unread = ""
        self.lines: deque[RawLine] = deque(maxlen=keep)
        self._wire = wire
        self._tail = b""

    def begin(self, mid_line: bool) -> None:
        """See Wire.begin."""
        self._tail = b""
        self._wire.begin(mid_line)

    def feed(self, data: bytes, at_s: float) -> list[Reading]:
        """See Wire.feed. The other wire is fed a line at a time."""
        self._tail += data
        readings: list[Reading] = []
        begin = 0
        for end in _LINE_END.finditer(self._tail):
            line, begin = self._tail[begin : end.end()], end.end()
            read = self._wire.feed(line, at_s)
            readings += read
            if line.strip():
                self.lines.append(RawLine(line, read[-1] if read else None))
        self._tail = self._tail[begin:]
        if len(self._tail) > LONGEST_LINE:
            self._tail, overlong = b"", self._tail
            readings += self._wire.feed(overlong, at_s)
        readings += self._wire.feed(b"", at_s)
        self.lines_seen = self._wire.lines_seen
        self.last_unread = self._wire.last_unread
        return readings


def shown_bytes(data: bytes, limit: int = 60) -> str:
    r"""Bytes in print: text as it is, everything else as `\r`, `\n`, `\t` or `\xNN`.

    At most `limit` characters (2 or more); an ellipsis tells that there were more.
    """
    pieces = [_NAMED.get(byte) or _in_print(byte) for byte in data[:limit]]
    shown = "".join(pieces)
    if len(shown) <= limit and len(data) <= limit:
        return shown
    while sum(map(len, pieces)) > limit - 1:
        pieces.pop()
    return "".join(pieces) + "…"


def _in_print(byte: int) -> str:
    return chr(byte) if 0x20 <= byte < 0x7F else f"\\x{byte:02x}"
