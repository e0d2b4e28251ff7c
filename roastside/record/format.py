"""The words of a roast file (contract 3), and how numbers and text are written into it.

Three answers keep a file whole whatever people write in a note:

- Text is one clean line before it is stored: no line breaks, control characters or escapes.
- `#` would start a comment for programs that skip comments, so a cell holds the full-width `＃`
  in its place; reading gives `#` again.
- A spreadsheet runs a cell beginning with `=`, `+`, `-` or `@` as a formula (CWE-1236), so such
  text gets a leading apostrophe, and so does text that has one of its own; reading takes one
  away. Plain numbers need none. In a header line that goes for what follows a comma.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from roastside.core.errors import UsageError
from roastside.core.readings import Item, Mark, MarkName, MarkSource, Reading, plausible_c
from roastside.core.text import clean

VERSION = 1
FORMAT_LINE = f"# roastside roast file {VERSION}"

TIME, BEAN, AIR, MARK, VALUE, NOTE = "time_s", "bean_c", "air_c", "mark", "value", "note"
KNOWN_COLUMNS = (TIME, BEAN, AIR, MARK, VALUE, NOTE)
TEMPERATURE_SUFFIX = "_c"

OWN_ROWS = "own_rows"
"""Header key: the columns, parted by spaces, that adapters without the bean probe fill in rows of
their own. Such a row lacks nothing."""

REST_OF = "rest_of"
"""Header key of what the disk of a recording did not take: the path of that recording."""

TORN = " # torn"
"""Ends a torn line that something was appended after. No cell written here can hold a `#`."""

LONGEST_S = 1e7
"""Seconds, 115 days. A time beyond this is no time of a roast."""

_KEY = re.compile(r"[a-z][a-z0-9_]*")
_FACT = re.compile(rf"({_KEY.pattern})=(\S.*)?")
_PLAIN_NUMBER = re.compile(r"[+-]?[0-9]+(\.[0-9]+)?")
_GUARDED = tuple("=+-@＝＋－＠'")
_AFTER_COMMA = re.compile(r"([,;\t]\s*)(?=[=+\-@＝＋－＠'])")
_GUARDED_AFTER_COMMA = re.compile(r"([,;\t]\s*)'(?=[=+\-@＝＋－＠'])")
_NO_CHANNELS: Mapping[str, float] = MappingProxyType({})
_NO_TEXTS: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Row:
    """One row as read. Time in seconds since the recording began, temperatures °C.

    A temperature is None, or absent from `extra`, when its cell holds nothing usable. `probed`:
    some temperature cell was filled in, usable or not. `other` holds filled cells of columns
    this version does not know, as text. `partial`: see OWN_ROWS and Reading.
    """

    time_s: float
    bean_c: float | None = None
    air_c: float | None = None
    extra: Mapping[str, float] = field(default_factory=lambda: _NO_CHANNELS)
    mark: str = ""
    value: str = ""
    note: str = ""
    probed: bool = False
    other: Mapping[str, str] = field(default_factory=lambda: _NO_TEXTS)
    partial: bool = False

    @property
    def missing(self) -> bool:
        """A row that should have had a bean temperature and has none."""
        return not (self.mark or self.partial) and self.bean_c is None

    def items(self) -> list[Item]:
        """What the row says: a Reading, a Mark, or first the one and then the other.

        Without a mark there is always a Reading, so that missing ones are counted.
        """
        said: list[Item] = []
        if self.probed or not self.mark:
            said.append(Reading(self.time_s, self.bean_c, self.air_c, self.extra, self.partial))
        if self.mark:
            said.append(Mark(self.time_s, self.mark, self.value, self.note, MarkSource.FILE))
        return said


def is_key(text: str) -> bool:
    """Whether a header or fact key is well formed: lower case letters, digits, underscores."""
    return _KEY.fullmatch(text) is not None


def fact_text(key: str, value: str) -> str:
    """An after-roast fact as the note of a comment row: `key=value`.

    Raises UsageError for a key that is not well formed.
    """
    return f"{_checked(key)}={clean(value)}"


def parse_fact(text: str) -> tuple[str, str] | None:
    """The key and value if the whole text is `key=value`, with no spaces around the `=`.

    A remark such as `heat = 70 because of rain` is none.
    """
    found = _FACT.fullmatch(text)
    return None if found is None else (found[1], found[2] or "")


def number_text(value: float) -> str:
    """The shortest text that reads back as exactly this number, with at least two decimals."""
    text = repr(float(value))
    whole, dot, decimals = text.partition(".")
    return f"{whole}.{decimals:0<2}" if dot and "e" not in text else text


def parse_number(cell: str) -> float | None:
    """The number in a cell (it may be infinite or NaN), or None."""
    try:
        number = float(cell)
    except ValueError:
        return None
    return None if "_" in cell else number


def text_cell(text: str) -> str:
    """Text as a cell holds it; see the top of this file."""
    line = clean(text).replace("#", "＃")
    guarded = line.startswith(_GUARDED) and not _PLAIN_NUMBER.fullmatch(line)
    return f"'{line}" if guarded else line


def parse_text(cell: str) -> str:
    """The text that a cell holds, clean."""
    if not cell:
        return ""
    line = cell.strip()
    if line.startswith("'") and line[1:].startswith(_GUARDED):
        line = line[1:]
    return clean(line).replace("＃", "#")


def recording_columns(extra_columns: Sequence[str] = ()) -> tuple[str, ...]:
    """The columns of a recording; further channels stand beside the air temperature.

    Raises UsageError for a channel name that is taken, repeated, or does not end in `_c`.
    """
    for name in extra_columns:
        taken = name in KNOWN_COLUMNS or list(extra_columns).count(name) > 1
        if taken or not is_key(name) or not name.endswith(TEMPERATURE_SUFFIX):
            raise UsageError(
                f"'{clean(name)}' cannot be the column of a further temperature; choose a new name "
                "of lower case letters, digits and underscores ending in _c, such as inlet_c."
            )
    return (TIME, BEAN, AIR, *extra_columns, MARK, VALUE, NOTE)


def head_text(header: Mapping[str, str], columns: Sequence[str]) -> str:
    """The format line, the header lines and the column line.

    Raises UsageError for a key that is not well formed.
    """
    facts = (f"# {_checked(key)}: {header_cell(value)}".rstrip() for key, value in header.items())
    return "\n".join((FORMAT_LINE, *facts, ",".join(columns), ""))


def header_cell(text: str) -> str:
    """A header value as the file holds it: what follows a comma is a cell to a spreadsheet."""
    return _AFTER_COMMA.sub(r"\1'", clean(text))


def parse_header(cell: str) -> str:
    """The value that a header line holds, clean."""
    return _GUARDED_AFTER_COMMA.sub(r"\1", clean(cell))


def row_text(item: Reading | Mark, columns: Sequence[str]) -> str:
    """A reading or mark as one line of these columns, ended by LF.

    A temperature that no probe can have is left empty, and so is one without a column.
    """
    cells = {TIME: number_text(item.time_s)}
    if isinstance(item, Reading):
        temperatures = {BEAN: item.bean_c, AIR: item.air_c, **item.extra}
        for name, value in temperatures.items():
            usable = plausible_c(value)
            cells[name] = "" if usable is None else number_text(usable)
    else:
        texts = {MARK: item.mark, VALUE: item.value, NOTE: item.note}
        cells |= {name: text_cell(text) for name, text in texts.items()}
    return cells_text([cells.get(name, "") for name in columns])


def fact_mark(time_s: float, key: str, value: str) -> Mark:
    """The comment that states an after-roast fact. Raises UsageError for a bad key."""
    return Mark(time_s, MarkName.COMMENT, note=fact_text(key, value))


def cells_text(cells: Sequence[str]) -> str:
    """One CSV line (RFC 4180), ended by LF."""
    line = io.StringIO()
    csv.writer(line, lineterminator="\n").writerow(cells)
    return line.getvalue()


def _checked(key: str) -> str:
    if not is_key(key):
        raise UsageError(
            f"'{clean(key)}' cannot be the name of a fact about a roast; use lower case letters, "
            "digits and underscores, such as roasted_weight_g."
        )
    return key
