"""A copy of a roast file that is safe to open in a spreadsheet, whoever wrote it."""

from __future__ import annotations

from roastside.desk.sheet import safe_cell
from roastside.record.cells import split_cells
from roastside.record.format import cells_text


def safe_copy(data: bytes) -> bytes:
    """The same bytes, but for lines in which a spreadsheet would find a formula.

    What roastside records has none in its rows; a file from elsewhere may, and so may a header
    line, whose commas part it into cells.
    """
    lines = data.split(b"\n")
    return b"\n".join(line if _is_harmless(line) else _safe_line(line) for line in lines)


def _is_harmless(line: bytes) -> bool:
    # A formula begins with one of these; the full-width ones begin with 0xEF in UTF-8.
    return not any(sign in line for sign in (b"=", b"+", b"@", b"\xef", b",-", b"-", b"\t"))


def _safe_line(line: bytes) -> bytes:
    try:
        text = line.decode().rstrip("\r")
    except UnicodeDecodeError:
        return line
    if text.startswith("#"):
        first, *rest = text.split(",")
        safe = ",".join([first, *map(safe_cell, rest)])
        return line if safe == text else safe.encode()
    cells, is_open = split_cells(text)
    safe_cells = [safe_cell(cell) for cell in cells]
    if safe_cells == cells:
        return line
    if not is_open:
        return cells_text(safe_cells).rstrip("\n").encode()
    *whole, last = safe_cells  # which goes on in the next line
    opened = '"' + last.rstrip("\n").replace('"', '""')
    return ",".join([cells_text(whole).rstrip("\n"), opened] if whole else [opened]).encode()
