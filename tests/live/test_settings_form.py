"""The settings as a form: nothing of the tree is forgotten, nothing that does not fit gets in."""

from __future__ import annotations

from dataclasses import fields, is_dataclass

import pytest

from roastside.core.errors import UsageError
from roastside.live.settings import DisplaySettings, ProbeSettings, Settings
from roastside.live.settings_form import filled_in, form_rows

CHOSEN = Settings(probe=ProbeSettings(port="COM3", baud=19200, type="K"))


def shown(value: object) -> str:
    """A value as a person writes it."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return " ".join(value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def test_every_setting_has_a_row_with_its_meaning_and_value() -> None:
    rows = {row.key: row for row in form_rows(CHOSEN)}
    for section in fields(CHOSEN):
        part = getattr(CHOSEN, section.name)
        for each in fields(part) if is_dataclass(part) else ():
            row = rows.pop(f"{section.name}.{each.name}")
            assert row.meaning == each.metadata["meaning"]
            assert row.value == shown(getattr(part, each.name))
    assert rows == {}


def test_a_form_given_back_untouched_changes_nothing() -> None:
    assert filled_in(CHOSEN, {row.key: row.value for row in form_rows(CHOSEN)}) == CHOSEN


def test_what_is_filled_in_is_taken_with_its_type() -> None:
    filled = filled_in(CHOSEN, {"probe.baud": " 4800 ", "probe.wire": "lines:bean=2"})
    assert filled.probe == ProbeSettings("COM3", 4800, "lines:bean=2", "K")
    assert filled_in(CHOSEN, {"display.unit": "F"}).display == DisplaySettings("F")


@pytest.mark.parametrize(
    ("key", "text", "says"),
    [
        ("probe.baud", "fast", "speed of the line: fast is not a whole number"),
        ("probe.baud", "", "is not a whole number"),
        ("display.unit", "R", "R is none of C, F"),
        ("probe.type", "Z", "Z is none of K, J, T, E, N"),
    ],
)
def test_what_does_not_fit_is_refused_with_the_setting_named(
    key: str, text: str, says: str
) -> None:
    with pytest.raises(UsageError) as refusal:
        filled_in(CHOSEN, {key: text})
    assert says in str(refusal.value)
