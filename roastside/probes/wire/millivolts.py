"""Lines of thermocouple emf and of the cold junction's temperature."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.thermocouple import KINDS, Kind, compensated_c
from roastside.probes.wire.choice import AIR, BEAN, FieldChoice, chosen_field, is_channel
from roastside.probes.wire.fields import Fields
from roastside.probes.wire.line_form import line_form
from roastside.probes.wire.lines import TextLines
from roastside.probes.wire.values import UNITS, Value, read_value
from roastside.probes.wire.wire import Wire

COLD = "cold"

COLDEST_C = -40.0
HOTTEST_C = 125.0
"""What a sensor beside the terminals can measure (common practice, no source)."""

_EXAMPLE = "millivolts:bean=1,cold=2,type=K"
_MV_PER_UNIT: Mapping[str, float] = {"MV": 1.0, "UV": 0.001}
_EMF = re.compile(r"(?P<number>.*[0-9.,]) ?(?P<prefix>[muµμ])V", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class EmfChoice:
    """Picks each channel's emf from a line and makes it a temperature.

    fields: where the emfs are and, if measured, the cold junction's temperature.
    kinds: thermocouple type of each channel. unit: MV or UV, of an emf that names none.
    cold_c: temperature of a cold junction that is kept constant, in °C; None when measured.
    """

    fields: FieldChoice
    kinds: Mapping[str, Kind]
    unit: str = "MV"
    cold_c: float | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """See Choice.names."""
        return tuple(name for name in self.fields.names if name != COLD)

    def pick(self, line: Fields) -> dict[str, Value] | None:
        """See Choice.pick. Without a cold junction that makes sense every channel is missing."""
        values = self.fields.pick(line)
        if values is None:
            return None
        cold_c = self.cold_c
        if cold_c is None:
            cold = values.pop(COLD, None)
            if cold is None or cold.unit in _MV_PER_UNIT:
                return None
            cold_c = cold.celsius("")
        if any(value.unit in UNITS for value in values.values()):
            return None  # compensated already: no emf
        return {channel: self._degrees(channel, emf, cold_c) for channel, emf in values.items()}

    def knows_header(self, names: list[str]) -> bool:
        """See Choice.knows_header."""
        return self.fields.knows_header(names)

    def _degrees(self, channel: str, emf: Value, cold_c: float | None) -> Value:
        if emf.number is None or cold_c is None or not COLDEST_C <= cold_c <= HOTTEST_C:
            return Value(None)
        measured_mv = emf.number * _MV_PER_UNIT[emf.unit or self.unit]
        return Value(compensated_c(self.kinds[channel], measured_mv, cold_c), "C")


def millivolt_lines(options: dict[str, str]) -> Wire:
    """The wire `millivolts`: text lines as the wire `lines` takes them, but of emf.

    options: cold, type and a channel at least; see docs/probes.md. Raises UsageError.
    """
    form = line_form(options)
    missing = [name for name in (COLD, "type") if name not in options]
    if not any(map(is_channel, options)):
        missing.insert(0, BEAN)
    if missing:
        raise UsageError(
            f"The wire millivolts lacks {', '.join(missing)}; write it as in {_EXAMPLE}."
        )
    kind = _kind("type", options.pop("type"))
    air_kind = _kind("air_type", options.pop("air_type")) if "air_type" in options else None
    unit = _unit(options.pop("unit", "mV"))
    cold_c = _constant(options[COLD])
    if cold_c is not None:
        del options[COLD]
    channels = {name: _field(name, value) for name, value in options.items()}
    if len(set(channels.values())) < len(channels):
        raise UsageError("Two channels of the wire take the same field; give each its own.")
    if air_kind and AIR not in channels:
        raise UsageError("The wire has an air_type but no air; say which field it is, as air=3.")
    kinds = {name: air_kind if air_kind and name == AIR else kind for name in channels}
    choice = EmfChoice(FieldChoice(channels, read_quantity), kinds, unit, cold_c)
    # 8.138 cut to 8 is only 3 °C off, so that the next line's temperature is like it.
    return TextLines(choice, form=form, strict=True)


def read_quantity(text: str) -> Value | None:
    """As read_value, and with the suffixes mV, uV and µV too (unit MV or UV)."""
    emf = _EMF.fullmatch(text)
    if emf is None:
        return read_value(text)
    value = read_value(emf["number"])
    if value is None or value.number is None or value.unit:
        return None
    return Value(value.number, "MV" if emf["prefix"] in "mM" else "UV")


def _kind(name: str, text: str) -> Kind:
    for kind in KINDS:
        if text.upper() == kind:
            return kind
    raise UsageError(
        f'The {name} "{clean(text, 40)}" is no thermocouple that is known here;'
        f" write one of {', '.join(KINDS)}."
    )


def _unit(text: str) -> str:
    one = read_quantity("1" + text)
    if one is None or one.unit not in _MV_PER_UNIT:
        raise UsageError(f'The unit "{clean(text, 40)}" of emf is not known; write mV or uV.')
    return one.unit


def _constant(text: str) -> float | None:
    """The temperature in `25C`, in °C; None for a field's number or name."""
    value = read_value(text)
    if value is None or value.number is None or (not value.unit and text.isdecimal()):
        return None
    cold_c = value.celsius("C") if value.unit else None
    if cold_c is None or not COLDEST_C <= cold_c <= HOTTEST_C:
        raise UsageError(
            f"The cold junction {clean(text, 40)} is neither a field nor a temperature from"
            f" {COLDEST_C:g} to {HOTTEST_C:g} °C; write it as cold=2 or cold=25C."
        )
    return cold_c


def _field(name: str, value: str) -> int | str:
    if name != COLD and not is_channel(name):
        raise UsageError(
            f'"{clean(name, 40)}" is not known in the wire; millivolts takes bean, air, cold, type,'
            " air_type, unit, and further channels whose names end in _c, as exhaust_c=4."
        )
    return chosen_field(name, value)
