"""Which unit a device's numbers are in, on good evidence only. Pure."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import NamedTuple

from roastside.probes.columns import Column
from roastside.probes.wire.choice import AIR, BEAN

HOTTEST_C = 500.0
"""A bare number above cannot be °C at a probe (contract 3), so it must be °F."""

_IN_WORDS = re.compile(
    r"(?:°|\bdeg(?:rees)?) ?([FC])\b|\b([FC])(?:ahrenheit|elsius)\b", re.IGNORECASE
)


class UnitGuess(NamedTuple):
    """What to write into the wire, and the sentence that says why.

    in_fahrenheit: what to write if bare numbers are °F after all; empty when the unit is known.
    """

    options: tuple[str, ...] = ()
    note: str = ""
    in_fahrenheit: tuple[str, ...] = ()


def guess_unit(
    columns: Sequence[Column], probes: Sequence[Column], lines: Sequence[bytes]
) -> UnitGuess:
    """The unit of the probes among the columns of these lines; the first is the bean probe.

    A suffix on the values and a unit in a field's own name are read by the wire itself.
    """
    bare, why = _unit_of_bare(columns, probes, lines)
    units = [column.unit or column.title_unit or bare for column in probes]
    told = [column.unit or (column.title_unit if column.named else "") for column in probes]
    to_say = [unit == "F" and not said for unit, said in zip(units, told, strict=True)]
    unknown = [not unit for unit in units]
    return UnitGuess(
        _fahrenheit(to_say), _note(probes[0], why), _fahrenheit(unknown) if unknown[0] else ()
    )


def _fahrenheit(probes: Sequence[bool]) -> tuple[str, ...]:
    """The words for °F at some of the probes."""
    if all(probes):
        return ("unit=F",)
    names = zip((BEAN, AIR), probes, strict=False)
    return tuple(f"{channel}_unit=F" for channel, wanted in names if wanted)


def _unit_of_bare(
    columns: Sequence[Column], probes: Sequence[Column], lines: Sequence[bytes]
) -> tuple[str, str]:
    """The unit of numbers without one, and why."""
    if any(column.doubles(probes[0]) for column in columns):
        return "C", ""
    bare = [number for probe in probes if not probe.unit for number in probe.numbers]
    hottest = max(bare, default=0.0)
    if hottest > HOTTEST_C:
        return "F", f"{hottest:g} is too hot for °C, so the numbers are taken as °F."
    # Latin-1, so that a degree sign is one whether it came as one byte or, in UTF-8, as two.
    said = _IN_WORDS.findall(" ".join(line.decode("latin-1") for line in lines))
    units = {unit.upper() for pair in said for unit in pair if unit}
    if len(units) != 1:
        return "", ""
    (unit,) = units
    return unit, f"The device's own words say °{unit}."


def _note(bean: Column, why: str) -> str:
    if bean.unit:
        return f"The device marks its values {'K' if bean.unit == 'K' else f'°{bean.unit}'}."
    if bean.title_unit:
        return f'The name "{bean.title}" says °{bean.title_unit}.'
    return why
