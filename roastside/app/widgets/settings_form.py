"""The settings as rows to fill in, made from the tree of settings itself."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import groupby
from types import MappingProxyType

from textual.app import ComposeResult
from textual.containers import Horizontal, Vertical
from textual.widget import Widget
from textual.widgets import Input, Label, Select, Static

from roastside.live.settings import Settings
from roastside.live.settings_form import Row, filled_in, form_rows

_NOTHING: Mapping[str, Widget] = MappingProxyType({})


class SettingsForm(Vertical):
    """One row a setting: its meaning and what it is. Sections bear their names.

    below: a widget that goes below the rows of a section, by its name.
    """

    DEFAULT_CSS = """
    SettingsForm { height: auto; }
    SettingsForm Horizontal { height: 1; }
    SettingsForm Label { width: 42; }
    SettingsForm Input, SettingsForm Select { width: 1fr; }
    """

    def __init__(self, settings: Settings, below: Mapping[str, Widget] = _NOTHING) -> None:
        super().__init__()
        self._settings = settings
        self._below = below

    def compose(self) -> ComposeResult:
        for section, rows in groupby(form_rows(self._settings), key=lambda row: row.section):
            yield Static(section.capitalize(), classes="heading")
            for row in rows:
                with Horizontal():
                    yield Label(row.meaning)
                    yield _field(row)
            if section in self._below:
                yield self._below[section]

    def text(self, key: str) -> str:
        """What stands in a row, by `section.name`."""
        field = self.query_one(f"#{_id(key)}")
        return str(field.value).strip() if isinstance(field, Input | Select) else ""

    def fill(self, texts: Mapping[str, str]) -> None:
        """Write texts into rows, by `section.name`."""
        for key, text in texts.items():
            field = self.query_one(f"#{_id(key)}")
            if isinstance(field, Input | Select):
                field.value = text

    def settings(self) -> Settings:
        """The settings as filled in. Raises UsageError, naming what does not fit."""
        texts = {row.key: self.text(row.key) for row in form_rows(self._settings)}
        return filled_in(self._settings, texts)


def _field(row: Row) -> Widget:
    if row.choices:
        options = [(choice or "not known", choice) for choice in row.choices]
        return Select(options, value=row.value, allow_blank=False, compact=True, id=_id(row.key))
    return Input(row.value, compact=True, id=_id(row.key))


def _id(key: str) -> str:
    return "set-" + key.replace(".", "-")
