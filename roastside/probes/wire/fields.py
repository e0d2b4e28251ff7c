"""A line of text taken apart into fields, each with a name or without."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any, NamedTuple

_UNIT_APART = re.compile(r"(?<=[0-9.,]) ?[°º]? ?(?=(?:[CFK]|[muµμ]V)(?: |$))", re.IGNORECASE)
_SIGN_APART = re.compile(r" ?([=:]) ?")
_PAIR = re.compile(r"(?P<name>[^\W\d][^=:]*)[=:](?P<text>.*)")

_DEGREES = r" ?[°º]? ?[CFK]?"
_NOT_DECIMAL = re.compile(r"(?<![0-9]),|,(?![0-9])")
_NAMED_DECIMAL = re.compile(r"([=:] ?[+-]?[0-9]+),([0-9]{1,2})(?![0-9.])")
_ONE_DECIMAL = re.compile(
    r"[+-]?[0-9]+,(?:[0-9]|[0-9]{1,2} ?[°º]? ?[CFK]|[0-9]{1,2} ?[°º])", re.IGNORECASE
)
_SPACED_DECIMALS = re.compile(
    rf"[+-]?[0-9]+,[0-9]{{1,2}}{_DEGREES}(?:, +[+-]?[0-9]+,[0-9]{{1,2}}{_DEGREES})+", re.IGNORECASE
)


class Field(NamedTuple):
    """One field as it stood in the line. `name` is empty when it had none."""

    name: str
    text: str


class Fields(NamedTuple):
    """One way to take a line apart. `loose`: nothing but spaces part it, as in a sentence."""

    fields: list[Field]
    loose: bool


def decode(line: bytes) -> str | None:
    """The text of a line, or None when it is no text: control bytes, escapes, broken UTF-8.

    A lone byte B0 or B5 is the degree or micro sign of Latin-1, which many small devices send.
    """
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError:
        text = line.decode("latin-1")
        if any(sign > "\x7f" and sign not in "°µ" for sign in text):
            return None
    return text.strip() if text.replace("\t", " ").isprintable() else None


def take_apart(text: str, decimal_comma: bool = False) -> Iterator[Fields]:
    """The ways a line can be read, the likeliest first.

    A line with commas is parted by them, unless they can hardly be anything but decimal commas
    (`bean=203,4`) or `decimal_comma` tells so; failing that by spaces, with decimal commas.
    """
    if text.startswith("{"):
        yield Fields(_json_members(text), loose=False)
        return
    for separator in ";\t":
        if separator in text:
            yield Fields([_field(piece) for piece in text.split(separator)], loose=False)
            return
    for pieces in _at_commas(text, decimal_comma):
        yield Fields([_field(piece) for piece in pieces], loose=False)
    yield Fields([_field(word) for word in _words(text)], loose=True)


def _at_commas(text: str, decimal_comma: bool) -> Iterator[list[str]]:
    if "," not in text:
        return
    if decimal_comma:
        if _NOT_DECIMAL.search(text):
            yield _NOT_DECIMAL.split(text)
        return
    if _ONE_DECIMAL.fullmatch(text):
        yield [text]
    elif _SPACED_DECIMALS.fullmatch(text):
        yield text.split(", ")
    else:
        pieces = _NAMED_DECIMAL.sub(r"\1.\2", text).split(",")
        if all(_PAIR.fullmatch(piece.strip()) for piece in pieces):
            yield pieces
            return
    yield text.split(",")


def _words(text: str) -> list[str]:
    """Parted by spaces, but not between a number and its unit, nor around `=` and `:`."""
    if text.count("=") + text.count(":") == 1 and _PAIR.fullmatch(text):
        return [text]  # its name may be several words
    text = " ".join(text.split())
    return _SIGN_APART.sub(r"\1", _UNIT_APART.sub("", text)).split()


def _field(piece: str) -> Field:
    piece = piece.strip()
    if pair := _PAIR.fullmatch(piece):
        return Field(_unquoted(pair["name"].strip()), _unquoted(pair["text"].strip()))
    return Field("", _unquoted(piece))


def _unquoted(text: str) -> str:
    if len(text) >= 2 and text[0] == text[-1] == '"':
        return text[1:-1].strip()
    return text


def _json_members(text: str) -> list[Field]:
    """Members of a JSON object and, one level down as `outer.inner`, of the objects in it."""
    try:
        parsed = json.loads(text, parse_int=float)
    except (ValueError, RecursionError):
        return []
    members: list[Field] = []
    for name, value in parsed.items():
        if isinstance(value, dict):
            members += [Field(f"{name}.{k}", _json_text(v)) for k, v in value.items()]
        else:
            members.append(Field(name, _json_text(value)))
    return members


def _json_text(value: Any) -> str:
    return "null" if value is None else str(value).strip()
