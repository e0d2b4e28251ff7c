"""Where a version of a reference comes from: the header of its file."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from roastside.record.titles import split_title, title_of

KIND, REFERENCE = "kind", "reference"
"""The header line `kind: reference` makes a roast file a reference file."""

ORIGINS = ("roast", "repeats", "edit", "file")

_VERSION = re.compile("[1-9][0-9]{0,5}")
_BETWEEN = "; "
_LONGEST_VALUE = 480
"""A header value holds 500 characters; longer lists go on under made_from_2 and so on."""


@dataclass(frozen=True, slots=True)
class Lineage:
    """Who made a version, when, out of what and why. Text is empty where nothing is known.

    `origin` is one of ORIGINS; `made_from` are recordings as the book calls them. `change` is the
    edit in the roaster's words.
    """

    name: str
    version: int
    coffee: str = ""
    origin: str = "file"
    parent: str = ""
    made_at: str = ""
    author: str = ""
    change: str = ""
    reason: str = ""
    made_from: tuple[str, ...] = ()

    @property
    def title(self) -> str:
        """`House espresso v3`."""
        return title_of(self.name, self.version)

    def header(self) -> dict[str, str]:
        """The header of its file, without what is not known."""
        known = {
            "title": self.title,
            KIND: REFERENCE,
            "reference_name": self.name,
            "version": str(self.version),
            "coffee": self.coffee,
            "origin": self.origin,
            "parent": self.parent,
            "made_at": self.made_at,
            "author": self.author,
            "change": self.change,
            "reason": self.reason,
            **_list_lines(self.made_from),
        }
        return {key: value for key, value in known.items() if value}

    @classmethod
    def of(cls, header: Mapping[str, str]) -> Lineage:
        """What a header tells; a name or version that is not said is taken from the title."""
        name, version = split_title(header.get("title", ""))
        said = header.get("version", "")
        if _VERSION.fullmatch(said):
            version = int(said)
        origin = header.get("origin", "")
        return cls(
            name=header.get("reference_name") or name,
            version=version or 1,
            coffee=header.get("coffee", ""),
            origin=origin if origin in ORIGINS else "file",
            parent=header.get("parent", ""),
            made_at=header.get("made_at", ""),
            author=header.get("author", ""),
            change=header.get("change", ""),
            reason=header.get("reason", ""),
            made_from=_list_in(header),
        )


def _list_lines(files: tuple[str, ...]) -> dict[str, str]:
    lines: list[str] = []
    for file in files:
        if lines and len(lines[-1]) + len(_BETWEEN) + len(file) <= _LONGEST_VALUE:
            lines[-1] += _BETWEEN + file
        else:
            lines.append(file)
    return {_list_key(k): line for k, line in enumerate(lines)}


def _list_in(header: Mapping[str, str]) -> tuple[str, ...]:
    found: list[str] = []
    while line := header.get(_list_key(len(found))):
        found.append(line)
    files = (file.strip() for line in found for file in line.split(_BETWEEN.strip()))
    return tuple(file for file in files if file)


def _list_key(k: int) -> str:
    return "made_from" if k == 0 else f"made_from_{k + 1}"
