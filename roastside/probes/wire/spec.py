"""The words of `--wire`: how bytes become readings (contract 4)."""

from __future__ import annotations

from collections.abc import Callable

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.wire.choice import BEAN, FieldChoice, chosen_field, is_channel
from roastside.probes.wire.line_form import line_form
from roastside.probes.wire.lines import TextLines
from roastside.probes.wire.millivolts import millivolt_lines
from roastside.probes.wire.poll import Poll, poll_in
from roastside.probes.wire.values import UNITS
from roastside.probes.wire.wire import Wire

MODBUS = "modbus"

_EXAMPLE = "lines:bean=1,air=2,unit=F"
_UNIT_OF = "_unit"


def parse_wire(text: str, bean_needed: bool = True) -> Wire:
    """The wire a `--wire` text asks for. Raises UsageError with a sentence.

    bean_needed: refuse a wire that does not look for the bean probe.
    """
    kind = wire_kind(text)
    make = _WIRES.get(kind)
    if make is None:
        known = ", ".join(_WIRES)
        raise UsageError(
            f'The wire "{clean(kind, 40)}" is not known; write one of {known}, as in {_EXAMPLE}.'
        )
    options = wire_options(text)
    poll_in(options)  # the wire has no use for it; see parse_poll
    wire = make(options)
    if bean_needed and BEAN not in wire.channels:
        raise UsageError(f"The wire does not say which field is the bean probe, as in {_EXAMPLE}.")
    return wire


def parse_poll(text: str) -> Poll | None:
    """What a `--wire` text asks to send to the device; None for one that speaks by itself.

    Raises UsageError with a sentence.
    """
    return poll_in(wire_options(text))


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
    form = line_form(options)
    unit = _unit(options.pop("unit", ""))
    units = {
        name.removesuffix(_UNIT_OF): _unit(options.pop(name))
        for name in list(options)
        if name.endswith(_UNIT_OF)
    }
    channels = {name: _field(name, value) for name, value in options.items()}
    if len(set(channels.values())) < len(channels):
        raise UsageError("Two channels of the wire take the same field; give each its own.")
    choice = FieldChoice(channels)
    for name in units:
        if name not in choice.names:
            name = clean(name, 40)
            raise UsageError(f'The wire has {name}_unit but no "{name}"; say which field it is.')
    return TextLines(choice, unit, units, form)


def _unit(text: str) -> str:
    if text and text.upper() not in UNITS:
        raise UsageError(f'The unit "{clean(text, 40)}" is not known; write C, F or K.')
    return text.upper()


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
