"""Edits of a reference as a roaster says them: "browning 20 s longer, drop 1.5 °C lower"."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from roastside.core.errors import UsageError
from roastside.core.readings import MarkName, Stage
from roastside.core.text import clean
from roastside.core.units import CELSIUS, Degrees

_SECONDS_PER_MINUTE = 60.0


class EditKind(StrEnum):
    """What an edit changes, and the unit of its amount."""

    LENGTH = "length"  # of a stage, s
    CHARGE = "charge"  # temperature, °C
    DROP = "drop"  # temperature, °C
    RATE = "rate"  # at a mark, °C/min
    START = "start"  # the rate at the strongest place of the bend, °C/min


@dataclass(frozen=True, slots=True)
class Edit:
    """One change. `where` is a stage or a mark; `amount` is positive for longer, hotter, faster.

    `amount` None, of a start only: as much as is usual, with the sign in `faster`.
    """

    kind: EditKind
    where: str
    amount: float | None
    faster: bool = False


_STAGE_BEFORE = {
    MarkName.YELLOWING: Stage.DRYING,
    MarkName.FIRST_CRACK: Stage.BROWNING,
    MarkName.DROP: Stage.DEVELOPMENT,
}
"""To move a mark is to change the length of the stage before it."""

_THING = re.compile(
    r"\b(?P<rate>rate(?: of rise)?\s+(?:at|of)\s+(?:the\s+)?)?"
    r"(?P<name>drying|browning|development|yellowing|first crack|drop|charge|start)\b"
)
_AMOUNT = re.compile(
    r"(?:by\s+)?(?:(?P<minutes>\d+):(?P<seconds>[0-5]\d)|(?P<number>\d+(?:[.,]\d+)?))"
    r"\s*(?P<unit>(?:°\s*[cf]?|degrees?|deg|[cf]\b)(?:\s*(?:/|per|a)\s*min(?:ute)?s?\b)?"
    r"|s(?:ec(?:ond)?s?)?\b|min(?:ute)?s?\b)?"
)
_DIRECTIONS = {
    "length": {"longer": 1.0, "shorter": -1.0},
    "time": {"later": 1.0, "earlier": -1.0, "sooner": -1.0},
    "temperature": {
        **dict.fromkeys(("higher", "hotter", "warmer"), 1.0),
        **dict.fromkeys(("lower", "cooler", "colder"), -1.0),
    },
    "rate": {
        **dict.fromkeys(("more", "higher", "faster"), 1.0),
        **dict.fromkeys(("less", "lower", "slower"), -1.0),
    },
    "start": {
        **dict.fromkeys(("faster", "stronger", "quicker", "harder"), 1.0),
        **dict.fromkeys(("gentler", "softer", "slower", "weaker"), -1.0),
    },
}
_SAID = re.compile(
    r"\b(" + "|".join(sorted({word for kind in _DIRECTIONS.values() for word in kind})) + r")\b"
)
_FILLERS = re.compile(r"\b(?:the|by|a|an|make|with|at|stage|phase|temperature|time|degrees?)\b")
_BETWEEN = re.compile(r"\s*(?:;|(?<!\d),|,(?!\d)|&|\band\b|\bthen\b)\s*", re.IGNORECASE)

CAN_BE_SAID = (
    "browning 20 s longer",
    "development 10 s shorter",
    "first crack 10 s earlier",
    "drop 1.5 °C lower",
    "charge 5 °C cooler",
    "gentler start",
    "faster start",
    "rate at first crack 1 °C/min less",
)
"""What is said in answer to what was not understood."""


def parse_edits(text: str, degrees: Degrees = CELSIUS) -> tuple[Edit, ...]:
    """The edits in a text, in its order; several are parted by commas or `and`.

    Temperatures without a unit are in `degrees`, other numbers seconds; m:ss is understood.
    Raises UsageError, with what can be said, for what is not understood.
    """
    clauses = [clause for clause in _BETWEEN.split(clean(text)) if clause.strip()]
    if not clauses:
        raise UsageError(f"no edit was said; say {_examples()}")
    return tuple(_edit(clause, degrees) for clause in clauses)


def _edit(clause: str, degrees: Degrees) -> Edit:
    rest = clause.casefold()
    thing = _THING.search(rest)
    rest = rest if thing is None else f"{rest[: thing.start()]} {rest[thing.end() :]}"
    amount = _AMOUNT.search(rest)
    rest = rest if amount is None else f"{rest[: amount.start()]} {rest[amount.end() :]}"
    said = _SAID.findall(rest)
    left = _FILLERS.sub("", _SAID.sub("", rest)).strip(" .")
    if thing is None or len(said) != 1 or left:
        raise _not_understood(clause)
    name = thing["name"].replace(" ", "_")
    kind, where, way = _meant(clause, "rate" if thing["rate"] else "", name, said[0])
    sign = _DIRECTIONS[way][said[0]]
    if amount is None:
        if kind is EditKind.START:
            return Edit(kind, where, None, sign > 0.0)
        raise UsageError(
            f"'{clause}' does not say by how much; say it with a number, such as {CAN_BE_SAID[0]}"
        )
    size = _size(clause, amount, kind, degrees)
    return Edit(kind, where, sign * size, sign > 0.0)


def _meant(clause: str, rate: str, name: str, said: str) -> tuple[EditKind, str, str]:
    """Kind, place, and which directions are meant; the first that the words allow."""
    stages = {str(stage) for stage in _STAGE_BEFORE.values()}
    marks = {str(mark): str(stage) for mark, stage in _STAGE_BEFORE.items()}
    meanings: list[tuple[bool, EditKind, str, str]] = [
        (bool(rate) and name in marks, EditKind.RATE, name, "rate"),
        (not rate and name == "start", EditKind.START, str(Stage.DRYING), "start"),
        (not rate and name in stages, EditKind.LENGTH, name, "length"),
        (not rate and name in marks, EditKind.LENGTH, marks.get(name, ""), "time"),
        (not rate and name == "drop", EditKind.DROP, name, "temperature"),
        (not rate and name == "charge", EditKind.CHARGE, name, "temperature"),
    ]
    for fits, kind, where, way in meanings:
        if fits and said in _DIRECTIONS[way]:
            return kind, where, way
    raise _not_understood(clause)


def _size(clause: str, amount: re.Match[str], kind: EditKind, degrees: Degrees) -> float:
    """The amount in s, °C or °C/min. Raises UsageError if its unit does not fit, or it is none."""
    unit = (amount["unit"] or "").replace(" ", "")
    is_rate = "min" in unit and unit[0] in "°dcf"
    is_time = bool(amount["minutes"]) or (bool(unit) and unit[0] in "sm")
    is_degrees = bool(unit) and not (is_time or is_rate)
    wanted, fits = {
        EditKind.LENGTH: ("seconds, or m:ss", not (is_degrees or is_rate)),
        EditKind.CHARGE: (degrees.unit, not (is_time or is_rate)),
        EditKind.DROP: (degrees.unit, not (is_time or is_rate)),
    }.get(kind, (f"{degrees.unit}/min", not is_time))
    if not fits:
        raise UsageError(f"'{clause}' needs {wanted}; say {_examples()}")
    if amount["minutes"]:
        size = _SECONDS_PER_MINUTE * int(amount["minutes"]) + int(amount["seconds"])
    else:
        size = float(amount["number"].replace(",", "."))
    if size == 0.0:
        raise UsageError(f"'{clause}' changes nothing; say by how much, such as {CAN_BE_SAID[0]}")
    if kind is EditKind.LENGTH:
        return size * (_SECONDS_PER_MINUTE if unit.startswith("m") else 1.0)
    letter = unit.removeprefix("°").removeprefix("deg")[:1]
    in_f = letter == "f" or (letter != "c" and degrees.fahrenheit)
    return size / (1.8 if in_f else 1.0)


def _not_understood(clause: str) -> UsageError:
    return UsageError(f"'{clause}' is not understood; say {_examples()}")


def _examples() -> str:
    *first, last = (f"'{words}'" for words in CAN_BE_SAID)
    return f"{', '.join(first)} or {last}, and join several by 'and' or a comma"
