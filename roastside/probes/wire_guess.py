"""Which `--wire` fits the lines a device sends, and what there is to say about it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from roastside.probes.columns import (
    HOTTEST_F,
    Column,
    columns_of,
    picked_by_default,
    probe_columns,
)
from roastside.probes.unit_guess import guess_unit
from roastside.probes.wire.choice import AIR, BEAN
from roastside.probes.wire_words import exchanged

_WIRE_NAME = re.compile(r"[A-Za-z_][\w .]*")

_VOLTAGES = (
    "The device sends the voltages of thermocouples. K stands for the probe's type: write the"
    " letter that is printed on its plug."
)
_NO_COLD_JUNCTION = (
    "The device sends the voltages of thermocouples without the temperature of its terminals;"
    " see Millivolts in docs/probes.md."
)


@dataclass(frozen=True, slots=True)
class WireGuess:
    """A wire to try. `notes` are sentences for people: what was taken for what, and why.

    swapped: the same with the bean and the air probe exchanged; empty when there is no air.
    in_fahrenheit: the same with bare numbers as °F; empty when it is known what unit they are in.
    open: the device says that its bean probe gives nothing.
    """

    wire: str = "lines"
    swapped: str = ""
    notes: tuple[str, ...] = ()
    in_fahrenheit: str = ""
    open: bool = False


def guess_wire(lines: Sequence[bytes]) -> WireGuess:
    """The wire `lines` with the fields and the unit that fit. Pure; any bytes will do."""
    columns = columns_of(lines)
    if any(column.emf for column in columns):
        return _millivolts(columns)
    probes = probe_columns(columns)[:2]
    if not probes:
        return WireGuess(notes=_no_probe(columns))
    unit = guess_unit(columns, probes, lines)
    explicit = _choice(probes)
    chosen = [] if probes == picked_by_default(columns) else explicit
    return WireGuess(
        _wire("lines", *chosen, *unit.options),
        swapped=_exchanged("lines", *explicit, *unit.options),
        notes=tuple(note for note in (*_left_out(columns, probes), unit.note) if note),
        in_fahrenheit=_wire("lines", *chosen, *unit.in_fahrenheit) if unit.in_fahrenheit else "",
        open=not probes[0].numbers,
    )


def _millivolts(columns: Sequence[Column]) -> WireGuess:
    emfs = [column for column in columns if column.emf][:2]
    cold = next((column for column in columns if column.may_be_cold_junction), None)
    if cold is None:
        return WireGuess(notes=(_NO_COLD_JUNCTION,))
    options = [*_choice(emfs), f"cold={_place(cold)}", "type=K"]
    return WireGuess(
        _wire("millivolts", *options),
        swapped=_exchanged("millivolts", *options),
        notes=(_VOLTAGES,),
    )


def _no_probe(columns: Sequence[Column]) -> tuple[str, ...]:
    largest = max((number for column in columns for number in column.numbers), default=0.0)
    if largest <= HOTTEST_F:
        return ()
    return (
        f"Numbers such as {largest:g} are too large for degrees: perhaps they are tenths of a"
        " degree, or something else that only the device's manual knows.",
    )


def _wire(kind: str, *options: str) -> str:
    return f"{kind}:{','.join(options)}" if options else kind


def _exchanged(kind: str, *options: str) -> str:
    """Empty when there is no second probe to exchange the first with."""
    wire = _wire(kind, *options)
    other = exchanged(wire, "")
    return other if other != wire else ""


def _choice(probes: Sequence[Column]) -> list[str]:
    return [
        f"{channel}={_place(column)}" for channel, column in zip((BEAN, AIR), probes, strict=False)
    ]


def _place(column: Column) -> str:
    """How the wire names a column: by its own name if that can be written there."""
    if column.named and _WIRE_NAME.fullmatch(column.title):
        return column.title
    return str(column.number)


def _left_out(columns: Sequence[Column], probes: Sequence[Column]) -> list[str]:
    notes = []
    for column in columns:
        if column in probes or not column.numbers:
            continue
        if any(column.doubles(probe) for probe in probes):
            notes.append(f"{_called(column)} is the same temperature in °F, and left out.")
        elif column.counts:
            notes.append(f"{_called(column)} counts up steadily: taken for a clock and left out.")
    return notes


def _called(column: Column) -> str:
    return f'The field "{column.title}"' if column.title else f"Field {column.number}"
