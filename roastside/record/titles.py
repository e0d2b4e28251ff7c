"""What versions of a reference are called, and what their files are called."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from roastside.core.errors import UsageError
from roastside.core.text import clean

_VERSIONED = re.compile(r"(?P<name>.*\S)\s+v(?P<version>[1-9]\d{0,5})", re.IGNORECASE)
_LONGEST_NAME = 80
_LONGEST_STEM_BYTES = 180
"""Most file systems take names of 255 bytes; what is appended to it must fit too."""

# Microsoft, "Naming Files, Paths, and Namespaces": reserved characters and device names.
_RESERVED = re.compile(r'[<>:"/\\|?*\x00-\x1f]+')
_DEVICE = re.compile(r"(?:con|prn|aux|nul|com[0-9¹²³]|lpt[0-9¹²³])", re.IGNORECASE)


def split_title(title: str) -> tuple[str, int | None]:
    """`House espresso v3` as name and version; without a version the whole is the name."""
    line = clean(title)
    found = _VERSIONED.fullmatch(line)
    return (found["name"], int(found["version"])) if found else (line, None)


def title_of(name: str, version: int) -> str:
    """What a version is called, and what the header of a roast calls it."""
    return f"{name} v{version}"


def next_title(existing: Iterable[str], name: str) -> str:
    """The title of the next version of the reference `name`, after all `existing` titles.

    Upper and lower case make no difference; the spelling of an earlier version is kept. A version
    at the end of `name` is passed over. Raises UsageError for a name that is empty or too long.
    """
    wanted = split_title(name)[0]
    if not wanted or len(wanted) > _LONGEST_NAME:
        raise UsageError(
            f"a reference needs a name of 1 to {_LONGEST_NAME} letters, such as House espresso; "
            "give it one"
        )
    newest = 0
    for found, version in map(split_title, existing):
        if version is not None and found.casefold() == wanted.casefold() and version > newest:
            newest, wanted = version, found
    return title_of(wanted, newest + 1)


def file_stem(title: str) -> str:
    """A file name without its ending that every platform takes, as like the title as can be."""
    text = unicodedata.normalize("NFC", clean(title))
    stem = _RESERVED.sub("-", text).strip(" .") or "reference"
    if _DEVICE.fullmatch(stem.partition(".")[0].strip()):
        stem = f"_{stem}"
    name, version = split_title(stem)
    ending = "" if version is None else f" v{version}"
    room = _LONGEST_STEM_BYTES - len(ending)
    short = name.encode()[:room].decode(errors="ignore").rstrip(" .")
    return f"{short}{ending}" if len(name.encode()) > room else stem
