"""Which field of a line is which probe: by number, by name, or by plain good sense."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Protocol

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.wire.fields import Field, Fields
from roastside.probes.wire.values import Value, is_clock, read_value

BEAN = "bean"
AIR = "air"

USUAL_NAMES: Mapping[str, tuple[str, ...]] = {
    BEAN: ("bean", "bean_c", "bean_temp", "temp", "temperature", "t1", "temp1", "probe1"),
    AIR: ("air", "air_c", "air_temp", "t2", "temp2", "probe2"),
}
"""What devices call their probes when nobody told us, the surest name first."""

_CHANNEL = re.compile(r"bean|air|[a-z][a-z0-9_]*_c")
_NOT_CHANNELS = ("bean_c", "air_c")
_ONE_SIGN = str.maketrans(" -", "__")
_UNIT_AFTER = re.compile(r"(?:[_(\[°º]|deg)+([cf])[)\]]?$")


class Choice(Protocol):
    """Picks from a line what the channels measured."""

    @property
    def names(self) -> tuple[str, ...]:
        """The channels it can find."""
        ...

    def pick(self, line: Fields) -> dict[str, Value] | None:
        """Channel -> value for a reading line; None when the line is none.

        `bean` is among them, unless its field is not looked for.
        """
        ...

    def knows_header(self, names: list[str]) -> bool:
        """Whether a line of column names tells where the probes' columns are."""
        ...


@dataclass(frozen=True, slots=True)
class FieldChoice:
    """Picks each channel's field from a line.

    channels: channel -> field number (from 1) or field name. None chosen: fields named with a
    usual name, or else the first and second measured fields.
    read: what a field holds; None when it is no value.
    """

    channels: Mapping[str, int | str] = field(default_factory=dict)
    read: Callable[[str], Value | None] = read_value

    @property
    def names(self) -> tuple[str, ...]:
        """See Choice.names."""
        return tuple(self.channels) or (BEAN, AIR)

    def pick(self, line: Fields) -> dict[str, Value] | None:
        """See Choice.pick.

        Every field that is not picked must look like data too: a sentence with a number in
        it is no reading.
        """
        picked = self._by_choice(line.fields) if self.channels else _by_custom(line.fields)
        values = {channel: self._value(at) for channel, at in picked.items()}
        found = {channel: value for channel, value in values.items() if value is not None}
        if len(found) < len(values) or not found or (BEAN in self.names and BEAN not in found):
            return None
        for other in line.fields:
            if other not in picked.values() and not self._is_data(other, line.loose):
                return None
        if not _speaks(list(picked.values()), found, len(line.fields)):
            return None
        return found

    def knows_header(self, names: list[str]) -> bool:
        """See Choice.knows_header."""
        wanted: tuple[int | str, ...] = USUAL_NAMES[BEAN]
        if self.channels:
            bean = self.channels.get(BEAN)
            wanted = tuple(self.channels.values()) if bean is None else (bean,)
        by_name = [each for each in wanted if isinstance(each, str)]
        return any(_is_called(name, each) for name in names for each in by_name)

    def _value(self, at: Field) -> Value | None:
        value = self.read(at.text)
        return None if value is None else replace(value, column_unit=_unit_in(at.name))

    def _by_choice(self, fields: list[Field]) -> dict[str, Field]:
        picked: dict[str, Field] = {}
        for channel, choice in self.channels.items():
            if isinstance(choice, str):
                if (named := _named(fields, choice)) is not None:
                    picked[channel] = named
            elif choice <= len(fields):
                picked[channel] = fields[choice - 1]
        return picked

    def _is_data(self, other: Field, loose: bool) -> bool:
        if other.name or is_clock(other.text) or self.read(other.text) is not None:
            return True
        # A label, as in `DATA,203.4,231.0`, when somebody said which fields to take.
        if loose or not self.channels or other.text[0].isdigit():
            return False
        return all(self.read(word) is None for word in other.text.split())


def is_channel(name: str) -> bool:
    """Whether `--wire` may say which field this is: bean, air, or a name ending in _c."""
    return _CHANNEL.fullmatch(name) is not None and name not in _NOT_CHANNELS


def chosen_field(channel: str, value: str) -> int | str:
    """The field `--wire` chose for a channel, a number (from 1) or a name.

    Raises UsageError when no field can have that number.
    """
    if not re.fullmatch(r"[+-]?[0-9]+", value):
        return value
    if len(value) > 3 or int(value) < 1:
        raise UsageError(
            f"Field {clean(value, 40)} of {channel} does not exist; fields count from 1."
        )
    return int(value)


def _by_custom(fields: list[Field]) -> dict[str, Field]:
    if any(each.name for each in fields):
        named = {
            channel: next((f for n in names if (f := _named(fields, n)) is not None), None)
            for channel, names in USUAL_NAMES.items()
        }
        return {channel: each for channel, each in named.items() if each is not None}
    measured = [each for each in fields if not is_clock(each.text)]
    return dict(zip((BEAN, AIR), measured, strict=False))


def _named(fields: list[Field], wanted: str) -> Field | None:
    return next((each for each in fields if _is_called(each.name, wanted)), None)


def _is_called(name: str, wanted: str) -> bool:
    """Upper and lower case are one, and so are spaces, hyphens and underscores.

    `bean` also names `probes.bean` of a nested object and, with its unit, `Bean (°F)`.
    """
    name, wanted = _plain(name), _plain(wanted)
    bare = _UNIT_AFTER.sub("", name)
    return any(each == wanted or each.endswith("." + wanted) for each in (name, bare))


def _plain(name: str) -> str:
    return name.casefold().translate(_ONE_SIGN)


def _unit_in(name: str) -> str:
    """C or F where a name ends in it. K does not count: it is a kind of thermocouple too."""
    found = _UNIT_AFTER.search(_plain(name))
    return found[1].upper() if found else ""


def _speaks(picked: list[Field], found: Mapping[str, Value], width: int) -> bool:
    """Whether a line says something of the probes, if only that they give nothing.

    Lines of separators alone (`,,`) and rules drawn with dashes (`-----`) do not.
    """
    if any(value.number is not None for value in found.values()):
        return True
    return any(
        each.name or (each.text and (width > 1 or any(map(str.isalpha, each.text))))
        for each in picked
    )
