"""The columns of a device's lines: which can be temperatures, and which are something else."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from statistics import median

from roastside.probes.wire.choice import AIR, BEAN, FieldChoice
from roastside.probes.wire.fields import Field, Fields, decode, take_apart
from roastside.probes.wire.millivolts import read_quantity
from roastside.probes.wire.values import Value, is_clock, read_value

COLDEST, HOTTEST_F = -50.0, 932.0
"""Bare numbers outside cannot be the temperature of a probe in °C nor in °F (500 °C)."""

STEADY_SHARE = 0.05
"""Steps of a clock or counter differ by no more of their median; a probe's wander more."""

_SAME_DEGREES = 0.6
"""A temperature and its copy in the other unit may be rounded differently."""

_BY_CUSTOM = FieldChoice()
_FIRST_FIELD = FieldChoice({BEAN: 1})

EMF_UNITS = ("MV", "UV")

_FEWEST_STEPS = 3
_FEWEST_ALIKE = 3

_OTHER_THINGS = re.compile(
    r"(?:^|[^a-z])(?:time|t?stamp|sec(?:ond)?s?|ms|milli\w*|elapsed|uptime|count\w*|seq|index|id|nr"
    r"|batt\w*|volt\w*|humid\w*|rh|press\w*|status|fan|heat\w*|power|duty|set|sp|target|rate|ror"
    r"|int(?:ernal)?|ambient|board|chip|cold|cj|room|mv|uv)(?:[^a-z]|$)",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class Column:
    """One place in the line. `number` counts from 1; `values` are empty when it holds no numbers.

    title: the field's own name or the column name in a header line; named: it is its own.
    clock: it holds dates or times of day. emf: it holds voltages, marked as such.
    """

    number: int
    title: str
    named: bool
    values: tuple[Value, ...]
    clock: bool = False
    emf: bool = False

    @property
    def numbers(self) -> tuple[float, ...]:
        """What was measured, without the missing ones."""
        return tuple(value.number for value in self.values if value.number is not None)

    @property
    def unit(self) -> str:
        """The suffix its values bear: C, F, K, or none."""
        units = {value.unit for value in self.values if value.number is not None}
        return units.pop() if len(units) == 1 else ""

    @property
    def counts(self) -> bool:
        """Whether it only ever climbs, by steady steps, as clocks and counters do."""
        numbers = self.numbers
        steps = [after - before for before, after in pairwise(numbers)]
        if len(steps) < _FEWEST_STEPS or min(steps) <= 0.0:
            return False
        middle = median(steps)
        return all(abs(step - middle) <= STEADY_SHARE * middle for step in steps)

    @property
    def is_named_otherwise(self) -> bool:
        """Whether its title says that it is no probe in the roaster."""
        return _OTHER_THINGS.search(self.title) is not None

    @property
    def title_unit(self) -> str:
        """C or F where its title ends in it, as the wire reads it."""
        found = _FIRST_FIELD.pick(Fields([Field(self.title, "1")], loose=False))
        return found[BEAN].column_unit if found else ""

    def is_called(self, channel: str) -> bool:
        """Whether its title is a usual name of the channel, as the wire knows it."""
        bean = [] if channel == BEAN else [Field(BEAN, "0")]
        found = _BY_CUSTOM.pick(Fields([*bean, Field(self.title, "1")], loose=False))
        return bool(self.title and found and channel in found and found[channel].number == 1.0)

    @property
    def channel(self) -> str:
        """The channel its title is a usual name of, mostly none."""
        return next((channel for channel in (BEAN, AIR) if self.is_called(channel)), "")

    @property
    def is_flag(self) -> bool:
        """Whether it only says yes or no."""
        return len(self.numbers) > 1 and set(self.numbers) <= {0.0, 1.0}

    @property
    def may_be_probe(self) -> bool:
        """Whether most of its numbers can be degrees; all missing is an open probe's way."""
        if not self.values or self.is_named_otherwise or self.is_flag:
            return False
        possible = [COLDEST <= number <= HOTTEST_F for number in self.numbers]
        return 2 * sum(possible) >= len(possible)

    @property
    def may_be_cold_junction(self) -> bool:
        """Whether its numbers can be the temperature of a board's terminals, in °C."""
        if not self.numbers or self.counts:
            return False
        return all(0.0 <= number <= 85.0 for number in self.numbers)

    def doubles(self, other: Column) -> bool:
        """Whether it is the other's temperature over again, in °F."""
        if len(self.values) != len(other.values) or not self.numbers:
            return False
        if {self.channel, other.channel} == {BEAN, AIR}:
            return False  # two probes in one room
        if self.unit or other.unit:
            return self.unit == "F" and other.unit == "C" and _same(self, other)
        return len(self.numbers) >= _FEWEST_ALIKE and _same(self, other)


def columns_of(lines: Sequence[bytes]) -> list[Column]:
    """The columns of the commonest form of line; empty when no line has a number in it."""
    taken = [fields for line in lines if (fields := _fields(line))]
    forms = Counter(_form(fields) for fields in taken if _speaks(fields))
    if not forms:
        return []
    form = forms.most_common(1)[0][0]
    rows = [fields for fields in taken if _form(fields) == form and _speaks(fields)]
    header = next((f for f in taken if len(f) == len(form) and _is_header(f)), None)
    return [_column(rows, header, place) for place in range(len(form))]


def probe_columns(columns: Sequence[Column]) -> list[Column]:
    """Those that may be probes in the roaster, likeliest first.

    Left out: clocks and counters, copies of another in °F, and what bears the name of something
    else. What is called a bean probe comes first, what is called air second, then the order of
    the line.
    """
    probes = [column for column in columns if column.may_be_probe]
    if len(probes) > 1 and probes[0].counts and not probes[1].counts:
        probes.pop(0)
    probes = [
        column
        for column in probes
        if not any(column.doubles(other) for other in probes if other is not column)
    ]
    by_name = [column for column in probes if column.is_called(BEAN)]
    unnamed = [column for column in probes if not (column in by_name or column.is_called(AIR))]
    in_order = [*by_name[:1], *unnamed, *probes]
    if len(probes) > 1:
        in_order[1:1] = [column for column in probes if column.is_called(AIR)][:1]
    return list(dict.fromkeys(in_order))


def picked_by_default(columns: Sequence[Column]) -> list[Column]:
    """What the wire `lines` takes without being told; none where it would not read the line.

    Titles from a header line count for nothing: the header may have passed before.
    """
    fields = [Field(column.title if column.named else "", _stand_in(column)) for column in columns]
    picked = _BY_CUSTOM.pick(Fields(fields, loose=False)) or {}
    numbers = [picked[channel].number for channel in (BEAN, AIR) if channel in picked]
    return [columns[int(number) - 1] for number in numbers if number is not None]


def _stand_in(column: Column) -> str:
    """A field of the same kind, whose number tells which it is."""
    if column.clock:
        return "00:00"
    return str(column.number) if column.values else "label"


def _same(fahrenheit: Column, celsius: Column) -> bool:
    pairs = [
        (f.number, c.number)
        for f, c in zip(fahrenheit.values, celsius.values, strict=True)
        if f.number is not None and c.number is not None
    ]
    return bool(pairs) and all(abs(f - (c * 1.8 + 32.0)) <= _SAME_DEGREES for f, c in pairs)


def _fields(line: bytes) -> list[Field]:
    """The likeliest way to take a line apart that finds a number, or else the likeliest."""
    text = decode(line.strip())
    ways = [way.fields for way in take_apart(text)] if text else []
    speaking = (way for way in ways if _speaks(way))
    return next(speaking, ways[0] if ways else [])


def _form(fields: list[Field]) -> tuple[str, ...]:
    return tuple(field.name for field in fields)


def _speaks(fields: list[Field]) -> bool:
    """Whether there is a number in it, or every field says that there is none."""
    values = [read_quantity(field.text) for field in fields if not is_clock(field.text)]
    if any(value is not None and value.number is not None for value in values):
        return True
    return None not in values and any(field.text for field in fields)


def _is_header(fields: list[Field]) -> bool:
    return len(fields) > 1 and not any(f.name or read_quantity(f.text) for f in fields)


def _column(rows: list[list[Field]], header: list[Field] | None, place: int) -> Column:
    fields = [row[place] for row in rows]
    title = fields[0].name or (header[place].text if header else "")
    values = [read_value(field.text) for field in fields]
    whole = tuple(value for value in values if value is not None)
    quantities = [read_quantity(field.text) for field in fields]
    return Column(
        place + 1,
        title,
        bool(fields[0].name),
        whole if len(whole) == len(values) else (),
        clock=all(is_clock(field.text) for field in fields),
        emf=all(quantity is not None and quantity.unit in EMF_UNITS for quantity in quantities),
    )
