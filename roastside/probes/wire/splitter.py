"""Cutting a stream of bytes into lines, in bounded memory."""

from __future__ import annotations

import re

LONGEST_LINE = 4096
"""Bytes. A longer line is noise, a wrong speed, or a device that never ends its lines."""

_LINE_END = re.compile(rb"[\r\n]")


class LineSplitter:
    """Gives the lines ended by LF, CRLF or CR, whatever the pieces they come in.

    Of a line longer than LONGEST_LINE only the first LONGEST_LINE + 1 bytes are kept, so that
    its length tells that it is no line to read.
    """

    def __init__(self) -> None:
        self._tail = b""

    def reset(self) -> None:
        """Forget the unfinished line."""
        self._tail = b""

    def feed(self, data: bytes) -> list[bytes]:
        """Lines completed by `data`, without their ends. CRLF gives an empty line more."""
        pieces = _LINE_END.split(data)
        pieces[0] = self._tail + pieces[0]
        *lines, self._tail = (piece[: LONGEST_LINE + 1] for piece in pieces)
        return lines
