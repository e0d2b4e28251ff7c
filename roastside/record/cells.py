"""One line of the table: from text to cells, and from cells to a Row."""

from __future__ import annotations

import csv
from collections.abc import Collection, Sequence
from dataclasses import replace

from roastside.core.readings import MarkName, plausible_c
from roastside.record import format as words
from roastside.record.format import Row


def split_cells(line: str) -> tuple[list[str], bool]:
    """The cells of a CSV line (RFC 4180), and whether its last quoted cell was left open."""
    if '"' not in line:
        return line.split(","), False
    # With a quote left open the reader asks for the next line, and is given an empty one.
    reader = csv.reader([line.replace("\r", " ") + "\n", ""])
    cells = next(reader)
    return cells, reader.line_num > 1


class Columns:
    """The column names of a file, in its order, and what its cells mean."""

    def __init__(self, names: Sequence[str], own_rows: Collection[str] = ()) -> None:
        """`own_rows`: see format.OWN_ROWS."""
        self.names = tuple(names)
        self._own_rows = frozenset(own_rows) - {words.BEAN}

    def row(self, cells: Sequence[str]) -> Row | None:
        """The cells as a Row; None without a usable time. Cells that are not there are empty."""
        filled = {
            name: cell
            for name, cell in zip(self.names, cells, strict=False)
            if name and cell.strip()
        }
        time_s = _usable_time_s(filled.pop(words.TIME, ""))
        if time_s is None:
            return None
        partial = bool(self._own_rows) and self._is_partial(filled)
        bean, air = filled.pop(words.BEAN, ""), filled.pop(words.AIR, "")
        mark, value, note = (
            words.parse_text(filled.pop(name, "")) for name in (words.MARK, words.VALUE, words.NOTE)
        )
        row = Row(
            time_s,
            _usable_c(bean),
            _usable_c(air),
            mark=mark,
            value=value,
            note=note,
            probed=bool(bean or air),
            partial=partial,
        )
        return _with_further_cells(row, filled) if filled else row

    def _is_partial(self, filled: Collection[str]) -> bool:
        measured = {name for name in filled if name.endswith(words.TEMPERATURE_SUFFIX)}
        return bool(measured) and measured <= self._own_rows

    def stands_alone(self, cells: Sequence[str]) -> bool:
        """Whether the cells are a full row by themselves: one for each column, a usable time."""
        return len(cells) >= len(self.names) and self.row(cells) is not None

    def survives_a_cut(self, cells: Sequence[str]) -> bool:
        """Whether the cells are a row that cannot lack more than the end of its note.

        A comment can: its note is all it says.
        """
        if len(cells) < len(self.names):
            return False
        row = self.row(cells)
        if row is None or row.missing or row.mark == MarkName.COMMENT:
            return False
        return self.names[-1] == words.NOTE or not cells[-1]


def _with_further_cells(row: Row, filled: dict[str, str]) -> Row:
    extra: dict[str, float] = {}
    other: dict[str, str] = {}
    probed = row.probed
    for name, cell in filled.items():
        if name.endswith(words.TEMPERATURE_SUFFIX):
            probed = True
            usable_c = _usable_c(cell)
            if usable_c is not None:
                extra[name] = usable_c
        elif text := words.parse_text(cell):
            other[name] = text
    return replace(row, extra=extra, probed=probed, other=other)


def _usable_c(cell: str) -> float | None:
    return plausible_c(words.parse_number(cell))


def _usable_time_s(cell: str) -> float | None:
    time_s = words.parse_number(cell)
    return time_s if time_s is not None and abs(time_s) <= words.LONGEST_S else None
