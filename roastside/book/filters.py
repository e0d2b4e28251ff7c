"""What a person types to find roasts, and the condition it stands for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date

from roastside.core.text import clean

_TEXT_FIELDS = {
    "coffee": "roast.coffee_id IN (SELECT id FROM"
    " (SELECT id, name FROM coffee UNION ALL SELECT coffee_id, name FROM former_name)"
    " WHERE instr(' ' || casefold(name) || ' ', ?))",
    "lot": "roast.lot_id IN (SELECT id FROM"
    " (SELECT id, name FROM lot UNION ALL SELECT lot_id, name FROM former_lot_name)"
    " WHERE instr(' ' || casefold(name) || ' ', ?))",
    "reference": "instr(' ' || casefold(roast.reference_title) || ' ', ?)",
}
_EXACT_FIELDS = {
    "coffee": "roast.coffee_id IN (SELECT id FROM coffee WHERE name = ?)",
    "lot": "roast.lot_id IN (SELECT id FROM lot WHERE name = ?)",
    "reference": "roast.reference_title = ? COLLATE NOCASE",
}
"""What can be called by its whole name, as it is called now; the book tells names apart so."""

_NUMBERS = {
    "loss": ("roast.loss", 0.01),
    "ratio": ("roast.development_ratio", 0.01),
    "drop": ("roast.drop_c", 1.0),
    "total": ("roast.total_s", 60.0),
    "worst": ("roast.worst_departure_c", 1.0),
    "score": ("roast.cup_score", 1.0),
}
"""What can be compared with a number, its column, and what one typed unit of it is there."""

_COMPARISON = re.compile(r"([a-z]+)(<=|>=|<|>|=)(-?\d+(?:[.,]\d+)?)%?")
_PART = re.compile(
    r'(coffee|lot|reference)=(?:"((?:[^"]|"")*)("(?!")|$)|([^\s"]+))'
    r'|(?:([a-z]+):)?(?:"([^"]*)"?|(\S+))',
    re.IGNORECASE,
)
_LONGEST = 1200
"""Characters: the longest name fits, with every quote in it doubled."""

_HALF_A_COMPARISON = re.compile(r"([a-z]*)(<=|>=|<|>|=)")

_VERDICTS = ("good", "fair", "poor")

_HINTS = {
    "verdict": "Write verdict:good, verdict:fair, verdict:poor or verdict:none.",
    "since": "Write since:2026-03-14, since:2026-03 or since:2026.",
    "until": "Write until:2026-03-14, until:2026-03 or until:2026.",
    "is": "Write is:unfinished; nothing else can be asked so.",
}

UNFINISHED = (
    "roast.settled = 0 AND coalesce(roast.charge_c, roast.turning_point_c, roast.total_s)"
    " IS NOT NULL AND (roast.coffee_id IS NULL OR roast.charge_weight_g IS NULL"
    " OR roast.roasted_weight_g IS NULL OR roast.verdict = '')"
)
"""Of which something is still to be filled in (SQL). A recording in which nothing was ever charged
is none."""

TO_FILL_IN = "is:unfinished"
"""What to type for these."""


@dataclass(frozen=True, slots=True)
class Condition:
    """An SQL condition over `roast`, and its parameters."""

    sql: str
    parameters: tuple[str | float, ...]


def condition(text: str, *, to_celsius: tuple[float, float] = (1.0, 0.0)) -> Condition:
    """The condition for what was typed.

    Words narrow the list to roasts that hold every one of them somewhere; `coffee:`, `lot:`,
    `reference:` look there only (in quotes, for a name with spaces: whole words); `coffee="…"`,
    `lot="…"`, `reference="…"` by the whole name and no other (a quote in it is typed twice);
    `verdict:good`, `verdict:none`; `is:unfinished`; `since:2026-03`, `until:2026-03-14` (both days
    included); `loss>15`, `drop>=205`, `total<11` (minutes), `ratio`, `worst`, `score` compare. What
    is half typed or makes no sense is looked for as a word. `to_celsius`: gain and offset that turn
    a typed temperature into °C.
    """
    parts: list[str] = []
    parameters: list[str | float] = []
    for found in _PART.finditer(clean(text, _LONGEST)):
        if found[1]:
            field, name = found[1].casefold(), found[4] or found[2].replace('""', '"').strip()
            half_typed = found[3] == ""
            parts.append((_TEXT_FIELDS if half_typed else _EXACT_FIELDS)[field])
            parameters.append(name.casefold() if half_typed else name)
            continue
        key, quoted, bare = (found[5] or "").casefold(), found[6], found[7]
        value = (quoted if quoted is not None else bare).casefold()
        if key in _TEXT_FIELDS and quoted and found[0].endswith('"'):
            value = f" {value.strip()} "  # the columns are searched with a space at either end
        sql, values = _part(key, value, to_celsius) or _word(found[0].replace('"', "").casefold())
        parts.append(sql)
        parameters += values
    return Condition(" AND ".join(parts) or "TRUE", tuple(parameters))


def misunderstood(text: str) -> str:
    """What of the text looks like more than a word and is taken for one, a sentence after a blank.

    Empty if nothing is.
    """
    for found in _PART.finditer(clean(text, _LONGEST)):
        key, value = (found[5] or "").casefold(), (found[6] or found[7] or "").casefold()
        compared = _HALF_A_COMPARISON.match(value) if not key else None
        if compared and not _comparison(value, (1.0, 0.0)):
            if told := _not_compared(compared[1], compared[2]):
                return told
        elif key in _NUMBERS:
            return f" Write {key}>{value} or {key}<{value} to compare."
        elif key in _HINTS and not _part(key, value, (1.0, 0.0)):
            return f" {_HINTS[key]}"
    return ""


def _not_compared(name: str, sign: str) -> str:
    if not name:
        return f" Write a comparison without blanks, as in loss{sign}15."
    if name in _NUMBERS:
        return f" After {name}{sign} comes a plain number, as in {name}{sign}12."
    if name in _HINTS:
        return f" {_HINTS[name]}"
    if name in _TEXT_FIELDS:
        return ""
    return f" {', '.join(_NUMBERS)} can be compared, {name} cannot."


def called(field: str, name: str) -> str:
    """What to type for the roasts whose coffee, lot or reference has this name, and no others."""
    doubled = clean(name).replace('"', '""')
    return f'{field}="{doubled}"'


def _part(
    key: str, value: str, to_celsius: tuple[float, float]
) -> tuple[str, list[str | float]] | None:
    if not key:
        return _comparison(value, to_celsius)
    if key in _TEXT_FIELDS:
        return _TEXT_FIELDS[key], [value]
    if key == "verdict" and (value == "none" or value in _VERDICTS):
        return "roast.verdict = ?", ["" if value == "none" else value]
    if f"{key}:{value}" == TO_FILL_IN:
        return UNFINISHED, []
    if key == "since" and (day := _day(value, "-01-01")):
        return "roast.started_at >= ?", [day]
    if key == "until" and (day := _day(value, "-12-31")):
        return "substr(roast.started_at, 1, 10) <= ?", [day]
    return None


def _comparison(text: str, to_celsius: tuple[float, float]) -> tuple[str, list[str | float]] | None:
    found = _COMPARISON.fullmatch(text)
    if found is None or found[1] not in _NUMBERS:
        return None
    column, unit = _NUMBERS[found[1]]
    number = float(found[3].replace(",", ".")) * unit
    gain, offset = to_celsius
    if found[1] == "drop":
        number = gain * number + offset
    elif found[1] == "worst":
        number, column = gain * number, f"abs({column})"
    return f"{column} {found[2]} ?", [number]


def _word(word: str) -> tuple[str, list[str | float]]:
    """A word anywhere in what files say, or in what the coffee and lot are called since."""
    return (
        "(instr(roast.search, ?)"
        " OR roast.coffee_id IN (SELECT id FROM coffee WHERE instr(casefold(name), ?))"
        " OR roast.lot_id IN (SELECT id FROM lot WHERE instr(casefold(name), ?)))",
        [word, word, word],
    )


def _day(text: str, rest_of_year: str) -> str | None:
    """A typed year, month or day as the first or last day it can mean, None if it is none."""
    if re.fullmatch(r"\d{4}", text):
        return text + rest_of_year
    if re.fullmatch(r"\d{4}-(0[1-9]|1[0-2])", text):
        return text + rest_of_year[-3:]
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        return None
