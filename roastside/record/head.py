"""The lines above the rows: the format line, header lines, and the column names."""

from __future__ import annotations

import re
from typing import NoReturn

from roastside.core.errors import RecordError
from roastside.core.text import clean
from roastside.record import format as words
from roastside.record.cells import Columns, split_cells

LONGEST_LINE_BYTES = 64 * 1024

_FORMAT_LINE = re.compile(r"#\s*roastside roast file ([0-9]{1,9})")
_HEADER_LINE = re.compile(r"#\s*([^\s:]+)\s*:\s*(.*)")
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"


class HeadReader:
    """Lines in, until `columns` is there; `header` holds what the comment lines said.

    Everything raises RecordError as soon as the lines cannot begin a roast file; `name` is what
    messages call the file.
    """

    def __init__(self, name: str) -> None:
        self.header: dict[str, str] = {}
        self.columns: Columns | None = None
        self._name = clean(name)
        self._line_number = 0
        self._padded = False

    def line(self, data: bytes) -> None:
        """Take the next line, without its end."""
        self.check_unfinished(data)
        self._line_number += 1
        if self._line_number == 1:
            data = data.removeprefix(_BYTE_ORDER_MARK)
        try:
            line = data.decode().strip()
        except UnicodeDecodeError:
            self._refuse_binary()
        if line.startswith('"#'):
            # A spreadsheet quotes a header line that it kept in one cell.
            line = split_cells(line)[0][0]
        if line.startswith("#"):
            self._header_line(line)
        elif line.strip(","):
            self._column_line(line)

    def check_unfinished(self, data: bytes) -> None:
        """Refuse what can no longer become a line of text."""
        if b"\0" in data:
            self._line_number += 1
            self._refuse_binary()
        if len(data) > LONGEST_LINE_BYTES:
            self._line_number += 1
            self._refuse(f"the line is longer than {LONGEST_LINE_BYTES // 1024} KiB")

    def refuse_end(self, size_bytes: int) -> NoReturn:
        """Refuse a file that ended, after so many bytes, before its column names."""
        trouble = "is empty" if not size_bytes else "ends before any column names"
        self._refuse(f"the file {trouble}")

    def _header_line(self, line: str) -> None:
        if self._line_number == 1:
            # A spreadsheet pads every line with commas up to the width of the table.
            self._padded = line.endswith(",")
        if self._padded:
            line = line.rstrip(",")
        if found := _FORMAT_LINE.fullmatch(line):
            if int(found[1]) != words.VERSION:
                raise RecordError(
                    f"{self._name}, line {self._line_number}: this is version {found[1]} of the "
                    f"roast file, and only version {words.VERSION} is known here; "
                    "update roastside to read it."
                )
        elif (found := _HEADER_LINE.fullmatch(line)) and words.is_key(found[1]):
            self.header[found[1]] = words.parse_header(found[2])

    def _column_line(self, line: str) -> None:
        names = [clean(name) for name in split_cells(line)[0]]
        while names and not names[-1]:
            names.pop()
        if words.TIME not in names:
            hint = ", and semicolons where commas should be" if ";" in line else ""
            self._refuse(f"there is no column name time_s{hint}")
        if words.BEAN not in names and words.MARK not in names:
            self._refuse("there is neither a column bean_c nor a column mark")
        for name in words.KNOWN_COLUMNS:
            if names.count(name) > 1:
                self._refuse(f"the column {name} is there twice")
        self.columns = Columns(names, self.header.get(words.OWN_ROWS, "").split())

    def _refuse(self, reason: str) -> NoReturn:
        raise RecordError(
            f"{self._name}, line {max(1, self._line_number)}: {reason}, so this is not a roast "
            "file; choose a recording, or a CSV table with the columns time_s and bean_c."
        )

    def _refuse_binary(self) -> NoReturn:
        raise RecordError(
            f"{self._name}, line {self._line_number}: this is not UTF-8 text, so it is not a roast "
            "file; choose a recording, or save the table again as CSV in UTF-8."
        )
