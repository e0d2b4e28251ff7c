"""The words of `--wire`: how bytes become readings (contract 4)."""

from __future__ import annotations

from collections.abc import Callable

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.wire.choice import BEAN, FieldChoice, chosen_field, is_channel
from roastside.probes.wire.lines import TextLines
from roastside.probes.wire.millivolts import millivolt_lines
from roastside.probes.wire.values import UNITS
from roastside.probes.wire.wire import Wire

MODBUS = "modbus"

_EXAMPLE = "lines:bean=1,air=2,unit=F"


def parse_wire(text: str) -> Wire:
    """The wire a `--wire` text asks for. Raises UsageError with a sentence."""
    kind = wire_kind(text)
    make = _WIRES.get(kind)
    if make is None:
        known = ", ".join(_WIRES)
        raise UsageError(
            f'The wire "{clean(kind, 40)}" is not known; write one of {known}, as in {_EXAMPLE}.'
        )
    return make(wire_options(text))


def wire_kind(text: str) -> str:
    """The word before the colon."""
    return text.partition(":")[0].strip()


def wire_options(text: str) -> dict[str, str]:
    """The options after the colon. Raises UsageError with a sentence."""
    options: dict[str, str] = {}
    words = text.partition(":")[2]
    for option in words.split(",") if words.strip() else []:
        name, sign, value = (part.strip() for part in option.partition("="))
        if not (name and sign and value):
            raise UsageError(
                f'"{clean(option, 40)}" in the wire is not of the form name=value;'
                f" write it as in {_EXAMPLE}."
            )
        if name in options:
            raise UsageError(f'"{clean(name, 40)}" is given twice in the wire; give it once.')
        options[name] = value
    return options


def _lines(options: dict[str, str]) -> Wire:
    unit = options.pop("unit", "C").upper()
    if unit not in UNITS:
        raise UsageError(f'The unit "{clean(unit, 40)}" is not known; write C, F or K.')
    channels = {name: _field(name, value) for name, value in options.items()}
    if channels and BEAN not in channels:
        raise UsageError(f"The wire does not say which field is the bean probe, as in {_EXAMPLE}.")
    if len(set(channels.values())) < len(channels):
        raise UsageError("Two channels of the wire take the same field; give each its own.")
    return TextLines(FieldChoice(channels), unit)


def _field(name: str, value: str) -> int | str:
    if not is_channel(name):
        raise UsageError(
            f'"{clean(name, 40)}" is not known in the wire; lines takes bean, air, unit, and'
            " further channels whose names end in _c, as exhaust_c=3."
        )
    return chosen_field(name, value)


def _modbus(_: dict[str, str]) -> Wire:
    # Modbus devices speak only when asked: see probes/opening.py.
    raise UsageError("The wire modbus asks its device, so it cannot be only listened to.")


_WIRES: dict[str, Callable[[dict[str, str]], Wire]] = {
    "lines": _lines,
    MODBUS: _modbus,
    "millivolts": millivolt_lines,
}
