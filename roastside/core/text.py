"""Text from devices, files and people, made safe to show on a terminal."""

from __future__ import annotations

import re
import unicodedata

_ESCAPE_SEQUENCE = re.compile(
    r"(?:\x1b\[|\x9b)[0-?]*[ -/]*[@-~]"  # CSI, ECMA-48 section 5.4
    r"|(?:\x1b[\]PX^_]|[\x90\x98\x9d\x9e\x9f])[^\x07\x1b\x9c]*(?:\x07|\x1b\\|\x9c)?"  # strings
    r"|\x1b[ -/]*[0-~]?"
)


def clean(text: str, limit: int = 500) -> str:
    """One line of printable text: escape sequences and control characters are taken out.

    Line breaks and tabs become spaces; invisible format characters (direction overrides, zero
    width) go too, as they can make a line read as something else. At most `limit` characters.
    """
    if len(text) <= limit and text.isascii() and text.isprintable():
        return " ".join(text.split())
    text = _ESCAPE_SEQUENCE.sub("", text[: limit * 4])
    kept = (
        " " if unicodedata.category(c) in ("Zl", "Zp") or c in "\t\r\n\v\f" else c
        for c in text
        if unicodedata.category(c) not in ("Cc", "Cf", "Cs", "Cn", "Co") or c in "\t\r\n\v\f"
    )
    line = " ".join("".join(kept).split())
    return line if len(line) <= limit else line[: limit - 1] + "…"
