"""What stands around the readings of a text line: prefixes, checksums, comments, decimal commas."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import reduce
from operator import xor

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.wire.fields import Fields, decode, take_apart
from roastside.probes.wire.splitter import LONGEST_LINE

_CHECKED = re.compile(rb"(.*)\*([0-9A-Fa-f]{2})")
_ASIDE = re.compile(rb"[#$>!%&@<*/\\|~]")
_COMMENT = re.compile(rb"(?:#|%|//)+")
_AFTER_PREFIX = re.compile(rb" *[,;:=\t]? *")
_PREFIX = re.compile(r"[!-~]{1,40}")


@dataclass(frozen=True, slots=True)
class LineForm:
    """Which lines speak of readings, and how they write numbers.

    prefix: only lines that begin so are read, from behind it. decimal_comma: a comma between
    digits never parts two fields.
    """

    prefix: bytes = b""
    decimal_comma: bool = False

    def text_of(self, line: bytes) -> str | None:
        """What a line says; None when it is no text or not meant for us.

        Without a prefix those are comments, prompts and other lines that begin with a sign, and
        lines that end in a checksum: nobody said how to check it. Behind the prefix asked for a
        checksum must be right.
        """
        if len(line) > LONGEST_LINE:
            return None
        told = self._behind_prefix(line.strip()) if self.prefix else _plain(line.strip())
        return None if told is None else decode(told)

    def take_apart(self, text: str) -> Iterator[Fields]:
        """The ways a line can be read, the likeliest first."""
        return take_apart(text, self.decimal_comma)

    def _behind_prefix(self, line: bytes) -> bytes | None:
        if checked := _CHECKED.fullmatch(line):
            line = checked[1]
            if checksum(line) != int(checked[2], 16):
                return None
        if not line.startswith(self.prefix):
            return None
        told = line[len(self.prefix) :]
        if self.prefix[-1:].isalnum() and told[:1].isalnum():
            return None  # another, longer word
        return told[_AFTER_PREFIX.match(told).end() :]  # type: ignore[union-attr]


def checksum(line: bytes) -> int:
    """All bytes of a line combined by exclusive or, without a `$` or `!` at its beginning.

    Source: NMEA 0183, by which many instruments check their lines.
    """
    return reduce(xor, line[1:] if line[:1] in (b"$", b"!") else line, 0)


def commented(line: bytes) -> str | None:
    """What a comment line says, as it may name columns; None when it is no comment."""
    sign = _COMMENT.match(line.strip())
    return None if sign is None else decode(line.strip()[sign.end() :])


def line_form(options: dict[str, str]) -> LineForm:
    """Takes `prefix` and `decimal` out of the options of a wire. Raises UsageError."""
    prefix = options.pop("prefix", "")
    if prefix and not _PREFIX.fullmatch(prefix):
        raise UsageError(
            f'The prefix "{clean(prefix, 40)}" cannot be; write up to 40 plain characters without'
            " spaces, as prefix=$TEMP."
        )
    decimal = options.pop("decimal", "point").lower()
    if decimal not in ("point", "comma"):
        raise UsageError(
            f'The decimal sign "{clean(decimal, 40)}" is not known; write point or comma.'
        )
    return LineForm(prefix.encode("ascii"), decimal == "comma")


def _plain(line: bytes) -> bytes | None:
    return None if _ASIDE.match(line) or _CHECKED.fullmatch(line) else line
