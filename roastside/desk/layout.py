"""Which column of a logger's table is what: kept, typed as `--map`, and told."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from typing import Any

from roastside.core.errors import UsageError
from roastside.core.readings import MarkName
from roastside.core.text import clean

SECONDS_OF = {"s": 1.0, "min": 60.0, "h": 3600.0, "day": 86400.0} | {
    "ms": 1e-3,
    "us": 1e-6,
    "ns": 1e-9,
}
"""How long the units are in which a number counts time, seconds."""

TIME_UNITS = (*SECONDS_OF, "clock", "date")
"""Those; `m:ss` or `h:mm:ss`; a date and a time of day."""

UNITS = ("C", "F", "K")

COLUMNS = ("time", "bean", "air", "date", "event")
_NEEDED = ("time", "bean")
_CHOICES = {"time_unit": TIME_UNITS, "unit": UNITS}
_MARK = "mark:"


@dataclass(frozen=True, slots=True)
class Layout:
    """Column names by what they hold, empty where there is none, and how they are written.

    `event` is a column of words for moments; `marks` says which mark a word stands for, by the
    word in lower case.
    """

    time: str
    bean: str
    air: str = ""
    date: str = ""
    event: str = ""
    time_unit: str = "s"
    unit: str = "C"
    marks: Mapping[str, str] = field(default_factory=dict)

    def as_map(self) -> str:
        """The same as `--map` takes it."""
        told = {name: getattr(self, name) for name in (*COLUMNS, *_CHOICES)}
        told |= {f"{_MARK}{word}": mark for word, mark in self.marks.items()}
        line = io.StringIO()
        parts = [f"{name}={value}" for name, value in told.items() if value]
        csv.writer(line, lineterminator="").writerow(parts)
        return line.getvalue()

    def as_json(self) -> str:
        """The same as the book keeps it."""
        return json.dumps(asdict(self), ensure_ascii=False)

    @classmethod
    def from_json(cls, text: str) -> Layout | None:
        """What `as_json` wrote; None if it cannot be used."""
        try:
            return cls(**json.loads(text))
        except (ValueError, TypeError):
            return None

    def fits(self, names: Sequence[str]) -> bool:
        """Whether a table with these column names has all that it tells of."""
        told = [getattr(self, name) for name in COLUMNS]
        return bool(self.time and self.bean) and all(name in names for name in told if name)


Told = Mapping[str, Any]
"""Fields of a Layout that a person has given."""


def parse_map(text: str) -> Told:
    """What was typed as `--map`, such as `time=Time(s),bean=Temp 2,unit=F,mark:pop=first_crack`.

    Raises UsageError, a sentence.
    """
    told: dict[str, Any] = {}
    marks: dict[str, str] = {}
    for part in next(csv.reader([" ".join(text.splitlines())], skipinitialspace=True), []):
        name, equals, value = (each.strip() for each in part.partition("="))
        if not equals:
            raise UsageError(f"'{clean(part)}' in --map says nothing; write NAME=VALUE")
        if name.startswith(_MARK) and value in list(MarkName):
            marks[name.removeprefix(_MARK).casefold()] = value
        elif name in COLUMNS or value in _CHOICES.get(name, ()):
            told[name] = value
        else:
            raise UsageError(
                f"'{clean(part)}' in --map is not understood; write time=, bean=, air=, date=, "
                f"event= with a column, unit= with {', '.join(UNITS)}, time_unit= with "
                f"{', '.join(TIME_UNITS)}, or mark:WORD= with a mark such as first_crack"
            )
    return {**told, "marks": marks} if marks else told


def told_of(names: Sequence[str], layout: Layout, told: Told) -> Layout:
    """The layout with what a person told; a column may be told by its number, from 1.

    Raises UsageError for a column that is not there, or is to be two things.
    """
    changes = dict(told)
    for role in COLUMNS:
        if value := changes.get(role):
            changes[role] = _column(names, str(value))
        elif role in changes and role in _NEEDED:
            raise UsageError(f"--map names no column for {role}=; name one of {listed(names)}")
    whole = replace(layout, **changes)
    filled = [value for role in COLUMNS if (value := getattr(whole, role))]
    for name in filled:
        if filled.count(name) > 1:
            raise UsageError(f"the column '{name}' cannot be two things; tell with --map which")
    return whole


def listed(names: Sequence[str]) -> str:
    """Column names as a sentence lists them."""
    return ", ".join(f"'{name}'" for name in names)


def _column(names: Sequence[str], value: str) -> str:
    for name in names:
        if value.casefold() in (name.casefold(), name.casefold().partition(" (")[0]):
            return name
    if value.isdecimal() and 1 <= int(value) <= len(names):
        return names[int(value) - 1]
    raise UsageError(f"there is no column '{clean(value)}'; its columns are {listed(names)}")
