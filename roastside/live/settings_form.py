"""The settings as a form: one row for each, with its words and its value as text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import Field, dataclass, fields, is_dataclass, replace
from typing import Any, get_type_hints

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.live.setting import TEXTS, fitting, takes
from roastside.live.settings import Settings
from roastside.live.words import line_of, words_of

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
    """Every setting of one section each, in the order of the file."""
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
            each = next(each for each in fields(part) if each.name == row.name)
            wanted = get_type_hints(type(part))[row.name]
            value = _value(row, each, wanted, texts[row.key].strip())
            changes[row.section] = replace(part, **{row.name: value})
    return replace(settings, **changes)


def _text(value: object) -> str:
    if isinstance(value, tuple):
        return line_of(value)
    if isinstance(value, float):
        return str(value).removesuffix(".0")
    return _YES_OR_NO[not value] if isinstance(value, bool) else str(value)


def _value(row: Row, each: Field[Any], wanted: Any, text: str) -> Any:
    if row.choices and text not in row.choices:
        known = ", ".join(filter(None, row.choices))
        raise UsageError(f"{row.meaning}: {clean(text, 40)} is none of {known}")
    try:
        return fitting(each, wanted, _typed(wanted, text))
    except ValueError as error:
        what = takes(each, wanted)
        raise UsageError(f"{row.meaning}: {clean(text, 40)} is not {what}") from error
    except UsageError as error:
        raise UsageError(f"{row.meaning}: {clean(text, 40)}: {error}") from error


def _typed(wanted: Any, text: str) -> Any:
    """Raises ValueError or UsageError if the text is nothing of this type."""
    if wanted == TEXTS:
        return words_of(text)
    return text == _YES_OR_NO[0] if wanted is bool else wanted(text)
