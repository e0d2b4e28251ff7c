"""The settings as a form: one row for each, with its words and its value as text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, get_type_hints

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.live.settings import Settings

_YES_OR_NO = ("yes", "no")


@dataclass(frozen=True, slots=True)
class Row:
    """One setting. choices: the texts it can be, none if it is free."""

    section: str
    name: str
    meaning: str
    value: str
    choices: tuple[str, ...] = ()

    @property
    def key(self) -> str:
        """`section.name`, as it stands in the file."""
        return f"{self.section}.{self.name}"


def form_rows(settings: Settings) -> list[Row]:
    """Every setting that is a single text or number, in the order of the file."""
    return [
        Row(
            section.name,
            each.name,
            each.metadata["meaning"],
            _text(value := getattr(part, each.name)),
            _YES_OR_NO if isinstance(value, bool) else tuple(map(str, each.metadata["choices"])),
        )
        for section in fields(settings)
        if is_dataclass(part := getattr(settings, section.name))
        for each in fields(part)
    ]


def filled_in(settings: Settings, texts: Mapping[str, str]) -> Settings:
    """The settings with the texts, by `section.name`, in place of what they were.

    Raises UsageError, naming the setting, if a text does not fit.
    """
    changes: dict[str, Any] = {}
    for row in form_rows(settings):
        if row.key in texts:
            part = changes.get(row.section, getattr(settings, row.section))
            value = _value(row, texts[row.key].strip(), get_type_hints(type(part))[row.name])
            changes[row.section] = replace(part, **{row.name: value})
    return replace(settings, **changes)


def _text(value: object) -> str:
    return _YES_OR_NO[not value] if isinstance(value, bool) else str(value)


def _value(row: Row, text: str, wanted: type) -> Any:
    if row.choices and text not in row.choices:
        known = ", ".join(filter(None, row.choices))
        raise UsageError(f"{row.meaning}: {clean(text, 40)} is none of {known}")
    if wanted is str:
        return text
    if wanted is bool:
        return text == _text(True)
    try:
        return wanted(text)
    except ValueError as error:
        what = "a whole number" if wanted is int else "a number"
        raise UsageError(f"{row.meaning}: {clean(text, 40)} is not {what}") from error
