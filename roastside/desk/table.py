"""From the bytes of any logger's CSV file to its table: encoding, separator, names and rows."""

from __future__ import annotations

import codecs
import csv
import hashlib
import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from roastside.core.text import clean
from roastside.desk.cells import decimal_of, is_value
from roastside.desk.table_error import TableError

if TYPE_CHECKING:
    from _csv import Reader as CsvReader

_WIDE, _BLANK = "  ", " "
"""Columns lined up by spaces: at least two of them, so that a name can have one; or any."""

_SEPARATORS = ("\t", ";", ",", "|")
_BLANKS = (_WIDE, _BLANK)
_GAPS = {_WIDE: re.compile(r" {2,}"), _BLANK: re.compile(r" +")}
_LOOKED_AT = 200
"""Lines by which the separator is known."""

_LEAST_VALUES = 2
_LEAST_NAMES = 3
_UNITS_OF_TIME = ("s", "sec", "secs", "seconds", "ms", "min", "h", "m:ss", "mm:ss", "h:mm:ss")
_UNITS = ("c", "f", "k", "°c", "°f", "degc", "degf", "℃", "℉", "%", "hh:mm:ss", *_UNITS_OF_TIME)
_BYTE_ORDER_MARKS = (
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)

_LINE_ENDS = re.compile(r"\r\n|\r|\n")
_LONGEST_CELL_LINES = 20
"""A cell over more lines than this is a quotation mark that nobody closed."""

Line = tuple[int, list[str]]
"""A line's number (from 1) and its cells."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table: column names, each another, and the lines below them; `decimal` is `.` or `,`.

    `above` holds what stood before the table, a text a line.
    """

    names: tuple[str, ...]
    rows: tuple[Line, ...]
    decimal: str
    above: tuple[str, ...]

    def cells(self, name: str, most: int | None = None) -> list[str]:
        """The cells of a column, empty where a line is too short."""
        at = self.names.index(name)
        return [cells[at].strip() if at < len(cells) else "" for _, cells in self.rows[:most]]

    @property
    def is_named(self) -> bool:
        """Whether a column has a name of its own, rather than a number."""
        return any(name != _numbered(at) for at, name in enumerate(self.names, 1))

    @property
    def fingerprint(self) -> str:
        """Tables with the same column names have the same."""
        names = "\x1f".join(name.casefold() for name in self.names)
        return hashlib.sha256(names.encode()).hexdigest()[:16]


def read_table(data: bytes) -> Table:
    """The table in the bytes of a file. Raises TableError if there is none."""
    text = _decoded(data)
    lines = _LINE_ENDS.split(text)
    if not lines[-1]:
        del lines[-1]
    # Blanks stand in texts and between signs too: they part columns only where nothing else does.
    for separators in (_SEPARATORS, _BLANKS):
        _, separator = max(
            ((_fitness(lines[: 4 * _LOOKED_AT], each), each) for each in separators),
            key=lambda found: found[0],
        )
        rows = list(_rows(lines, separator))
        width = _width(rows)
        if width is not None:
            break
    if width is None:
        raise TableError(
            "no table was found in it; save it as CSV with a row of column names, and a time and a "
            "temperature in each row below"
        )
    first = next(at for at, (_, cells) in enumerate(rows) if _is_data(cells, width))
    is_named = any(_is_words(cells, width) for _, cells in rows[max(0, first - 2) : first])
    heading = first if not is_named and _is_heading(rows, first) else None
    first += heading is not None
    begins, names = _names(rows, first, width, heading)
    above = tuple(clean(separator.join(cells)) for _, cells in rows[:begins])
    body = tuple(row for row in rows[first:] if any(cell.strip() for cell in row[1]))
    values = [cell for _, cells in body[:_LOOKED_AT] for cell in cells]
    return Table(names, body, decimal_of(values), above)


def _decoded(data: bytes) -> str:
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return data.removeprefix(mark).decode(encoding, errors="replace")
    for encoding, zeros in (("utf-16-le", data[1:200:2]), ("utf-16-be", data[:200:2])):
        if len(zeros) > 4 and not any(zeros):
            return data.decode(encoding, errors="replace")
    # A logger whose power was cut leaves its last block empty.
    data = data.rstrip(b"\0")
    if b"\0" in data:
        raise TableError("it is no text; save it as CSV")
    try:
        return data.decode()
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _rows(lines: Sequence[str], separator: str) -> Iterator[Line]:
    reader = _reader(lines, separator)
    number = 1
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise TableError(f"the line is no CSV ({error})", number) from error
        if reader.line_num - number >= _LONGEST_CELL_LINES:
            raise TableError(
                "a quotation mark begins a text here that goes on over many lines; take the mark "
                "away or close it",
                number,
            )
        yield number, cells
        number = reader.line_num + 1


def _reader(lines: Sequence[str], separator: str) -> CsvReader:
    gap = _GAPS.get(separator)
    if gap is None:
        return csv.reader((f"{line}\n" for line in lines), delimiter=separator)
    parted = (gap.sub("\t", line.strip()) for line in lines)
    return csv.reader((f"{line}\n" for line in parted), delimiter="\t")


def _fitness(lines: Sequence[str], separator: str) -> float:
    """How much of the text is columns of values, if this is what separates them."""
    total = looked_at = 0.0
    for cells in _reader(lines, separator):
        filled = [cell for cell in cells if cell.strip()]
        values = sum(map(is_value, filled))
        if values >= _LEAST_VALUES:
            total += (values / len(filled)) ** 2
            looked_at += 1
        if looked_at == _LOOKED_AT:
            break
    return total


def _width(rows: Sequence[Line]) -> int | None:
    """How many cells a line of the table has; None without a table."""
    widths = Counter(len(cells) for _, cells in rows[: 2 * _LOOKED_AT] if _is_data(cells, None))
    return widths.most_common(1)[0][0] if widths else None


def _is_data(cells: Sequence[str], width: int | None) -> bool:
    if width is not None and len(cells) != width:
        return False
    return sum(is_value(cell) for cell in cells) >= _LEAST_VALUES


def _is_heading(rows: Sequence[Line], at: int) -> bool:
    """Whether a line of values is a line of names after all, such as `Time,1,2`."""
    below = [cells for _, cells in rows[at + 1 : at + 6]]
    if not below:
        return False
    for column, cell in enumerate(rows[at][1]):
        under = [cells[column] for cells in below if column < len(cells)]
        if cell.strip() and not is_value(cell) and under and all(map(is_value, under)):
            return True
    return False


def _names(
    rows: Sequence[Line], first: int, width: int, heading: int | None
) -> tuple[int, tuple[str, ...]]:
    """The line at which the table begins, and its column names; a line of units joins them.

    `heading` is a line of names known as such already, although some of them are numbers.
    """
    above = [at for at in range(first) if at == heading or _is_words(rows[at][1], width)]
    if not above:
        return first, tuple(_numbered(number) for number in range(1, width + 1))
    at = above[-1]
    names = [clean(cell) for cell in rows[at][1]]
    if len(above) > 1 and all(_is_unit(name) for name in names if name):
        units, at = names, above[-2]
        names = [clean(cell) for cell in rows[at][1]]
        for column, unit in enumerate(units[: len(names)]):
            if unit and names[column]:
                names[column] += f" ({unit.strip('[]()')})"
    names += [""] * (width - len(names))
    return at, _told_apart(names)


def _is_words(cells: Sequence[str], width: int) -> bool:
    """Whether a line can hold the names: about as wide as the table, and a name for most of it."""
    filled = [cell for cell in cells if cell.strip()]
    if len(filled) < max(2, min(width // 2, _LEAST_NAMES)) or abs(len(cells) - width) > 1:
        return False
    return not any(map(is_value, filled))


def _is_unit(name: str) -> bool:
    return name.casefold().strip("[]() ").replace("deg ", "deg").replace("deg. ", "deg") in _UNITS


def _numbered(number: int) -> str:
    return f"column {number}"


def _told_apart(names: Sequence[str]) -> tuple[str, ...]:
    told: list[str] = []
    for number, name in enumerate(names, 1):
        whole = name or _numbered(number)
        told.append(f"{whole} ({number})" if whole in told else whole)
    return tuple(told)
