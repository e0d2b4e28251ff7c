"""The words of `--wire modbus:...`: which registers to ask for, and what they hold."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.modbus_registers import NUMBER_TYPES, Channel, NumberForm, RegisterMap
from roastside.probes.wire.choice import BEAN, is_channel
from roastside.probes.wire.values import UNITS

_EXAMPLE = "modbus:unit=1,bean=0,air=1,scale=0.1,function=4"
_OPEN_OF = "open_"
_LAST_REGISTER = 65535


@dataclass(frozen=True, slots=True)
class ModbusSpec:
    """How to ask a Modbus RTU device for its temperatures.

    unit: 1 to 247. function: 3 (holding registers) or 4 (input registers). parity: N, E or O.
    stop_bits: 1 or 2. every_s: seconds from one reading to the next.
    """

    registers: RegisterMap
    unit: int = 1
    function: int = 4
    parity: str = "N"
    stop_bits: int = 1
    every_s: float = 0.5


def modbus_spec(options: Mapping[str, str], bean_needed: bool = True) -> ModbusSpec:
    """What the options of a wire `modbus` ask for; see docs/probes.md. Raises UsageError.

    bean_needed: refuse a wire that does not ask for the bean probe.
    """
    left = dict(options)
    form = NumberForm(
        _one_of("type", left.pop("type", "int16").lower(), NUMBER_TYPES),
        _one_of("order", left.pop("order", "big").lower(), ("big", "little")) == "little",
    )
    scale = _scale(left.pop("scale", "1"))
    degrees = _one_of("degrees", left.pop("degrees", "C").upper(), UNITS)
    unit = _whole("unit", left.pop("unit", "1"), 1, 247)
    function = int(_one_of("function", left.pop("function", "4"), ("3", "4")))
    parity = _one_of("parity", left.pop("parity", "N").upper(), ("N", "E", "O"))
    stop_bits = int(_one_of("stop", left.pop("stop", "1"), ("1", "2")))
    every_ms = _whole("every", left.pop("every", "500"), 100, 2000)
    channels = _channels(left, form)
    if not channels or (bean_needed and BEAN not in channels):
        raise UsageError(
            f"The wire does not say which register is the bean probe; write it as in {_EXAMPLE}."
        )
    return ModbusSpec(
        RegisterMap(channels, form, scale, degrees),
        unit,
        function,
        parity,
        stop_bits,
        every_ms / 1000.0,
    )


def _channels(options: dict[str, str], form: NumberForm) -> dict[str, Channel]:
    shared = _open_patterns("open", options.pop("open", ""), form)
    own = {
        name.removeprefix(_OPEN_OF): _open_patterns(name, options.pop(name), form)
        for name in list(options)
        if name.startswith(_OPEN_OF)
    }
    channels = {
        name: Channel(_register(name, value, form), own.pop(name, shared))
        for name, value in options.items()
    }
    if own:
        name = clean(next(iter(own)), 40)
        raise UsageError(f'The wire has open_{name} but no "{name}"; say which register it is.')
    _refuse_overlap(channels, form)
    return channels


def _register(name: str, value: str, form: NumberForm) -> int:
    if not is_channel(name):
        raise UsageError(
            f'"{clean(name, 40)}" is not known in the wire; modbus takes bean, air and channels'
            " ending in _c (registers), unit, function, scale, type, order, degrees, open, parity,"
            " stop and every."
        )
    return _whole(f"register of {name}", value, 0, _LAST_REGISTER + 1 - form.width)


def _refuse_overlap(channels: Mapping[str, Channel], form: NumberForm) -> None:
    placed = sorted((channel.register, name) for name, channel in channels.items())
    for (register, name), (following, other) in pairwise(placed):
        if following < register + form.width:
            raise UsageError(
                f"The channels {clean(name, 40)} and {clean(other, 40)} share register {following}"
                f" ({form.type} takes {form.width}); give each its own."
            )


def _open_patterns(name: str, text: str, form: NumberForm) -> frozenset[int]:
    try:
        return frozenset(form.pattern_of(code) for code in text.split("/") if text)
    except ValueError as error:
        raise UsageError(
            f'The codes "{clean(text, 40)}" of {clean(name, 40)} are no {form.type} numbers;'
            " write them as 32767/-32768."
        ) from error


def _scale(text: str) -> float:
    try:
        scale = float(text)
    except ValueError:
        scale = 0.0
    if not (isfinite(scale) and scale > 0.0):
        raise UsageError(f'The scale "{clean(text, 40)}" is no number above 0; write it as 0.1.')
    return scale


def _whole(name: str, text: str, lowest: int, highest: int) -> int:
    if re.fullmatch(r"[0-9]{1,9}", text) and lowest <= int(text) <= highest:
        return int(text)
    raise UsageError(
        f'The {name} "{clean(text, 40)}" in the wire is no whole number from {lowest} to {highest}.'
    )


def _one_of(name: str, text: str, known: Iterable[str]) -> str:
    if text in known:
        return text
    raise UsageError(
        f'The {name} "{clean(text, 40)}" in the wire is not known; write one of {", ".join(known)}.'
    )
