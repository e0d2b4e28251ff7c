"""Devices that answer only when asked: the words to send, and when."""

from __future__ import annotations

import re
from typing import NamedTuple

from roastside.core.errors import UsageError
from roastside.core.text import clean

SHORTEST_MS, LONGEST_MS = 50, 10_000
USUAL_MS = 500

_LONGEST_TEXT = 200
_PIECE = re.compile(r"\\x([0-9A-Fa-f]{2})|\\([rnt\\])|([ -\[\]-~])")
_NAMED = {"r": b"\r", "n": b"\n", "t": b"\t", "\\": b"\\"}


class Poll(NamedTuple):
    """What to send to a device, and how many seconds from one time to the next."""

    text: bytes
    every_s: float


class Schedule:
    """When to send. Pure: no I/O and no clock; `now_s` is any time that never goes back."""

    def __init__(self, poll: Poll) -> None:
        self._poll = poll
        self._due_s: float | None = None

    def due(self, now_s: float) -> bytes:
        """What to send now, mostly nothing. Times that were missed are not made up for."""
        if self.wait_s(now_s) > 0.0:
            return b""
        every_s = self._poll.every_s
        next_s = now_s if self._due_s is None else self._due_s + every_s
        self._due_s = next_s if next_s > now_s else now_s + every_s
        return self._poll.text

    def wait_s(self, now_s: float) -> float:
        """How long from now nothing will be due."""
        return 0.0 if self._due_s is None else max(0.0, self._due_s - now_s)


def poll_in(options: dict[str, str]) -> Poll | None:
    """Takes `poll` and `every` out of the options of a wire. Raises UsageError.

    None unless a poll is asked for: then nothing is ever sent to the device.
    """
    text, every = options.pop("poll", ""), options.pop("every", "")
    if not text:
        if every:
            raise UsageError(
                'The wire has "every" but no poll; write what to send, as poll=READ\\r\\n.'
            )
        return None
    every = every or str(USUAL_MS)
    if not re.fullmatch(r"[0-9]{1,6}", every) or not SHORTEST_MS <= int(every) <= LONGEST_MS:
        raise UsageError(
            f'The time "{clean(every, 40)}" between two polls is no whole number of milliseconds'
            f" from {SHORTEST_MS} to {LONGEST_MS}."
        )
    return Poll(_bytes_of(text), int(every) / 1000.0)


def _bytes_of(text: str) -> bytes:
    r"""The bytes a person wrote as plain characters and `\r`, `\n`, `\t`, `\\`, `\xNN`."""
    data, at = b"", 0
    while found := _PIECE.match(text, at):
        code, name, plain = found.groups()
        data += bytes.fromhex(code) if code else _NAMED[name] if name else plain.encode("ascii")
        at = found.end()
    if at < len(text) or len(data) > _LONGEST_TEXT:
        raise UsageError(
            f'The poll "{clean(text, 40)}" cannot be sent; write at most {_LONGEST_TEXT} plain'
            r" characters, with \r, \n, \t, \\ or \xNN (\x2c is a comma) for others."
        )
    return data
