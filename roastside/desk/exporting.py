"""Giving out roasts as roast files, and their figures as one table."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, field
from functools import partial
from importlib.util import find_spec
from pathlib import Path
from typing import Any

from roastside.book.filters import Condition
from roastside.book.roasts import EVERYTHING, roasts
from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.core.errors import StoreError, UsageError
from roastside.core.text import clean
from roastside.desk.figures import NUMBERS, figures_frame
from roastside.desk.roast_copy import safe_copy
from roastside.desk.sheet import safe_cell
from roastside.desk.written import write_new, write_over
from roastside.record import disk

_UNSAFE_IN_NAMES = re.compile(r'[<>:"/\\|?*%\x00-\x1f]+')
_RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)
_LONGEST_NAME = 100
_PARQUET = b"PAR1"
"""Begins every Parquet file (Apache Parquet, "File Format")."""


@dataclass
class Exported:
    """The files written, and of which roasts there is none and why."""

    files: list[Path] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)


def export_roasts(book: Book, folder: Path, where: Condition = EVERYTHING) -> Exported:
    """Copy the roasts' files into a folder, named by date and title; nothing is overwritten.

    Raises StoreError if nothing can be written there.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _not_written(folder, error) from error
    done = Exported()
    for roast in roasts(book, where, descending=False):
        try:
            data = safe_copy(book.located(roast.file).read_bytes())
        except OSError as error:
            done.refused.append(f"{roast.file} cannot be read ({disk.reason(error)})")
            continue
        free = partial(_free, folder, safe_name(_named(roast)))
        done.files.append(write_new(data, free))
    return done


def export_figures(book: Book, path: Path, where: Condition = EVERYTHING) -> int:
    """Write the figures as a table, CSV or Parquet by the file's ending; how many roasts it has.

    An earlier table of figures is written over, anything else is not.

    Raises UsageError for that, for another ending, or without what Parquet needs; StoreError if it
    cannot be written.
    """
    kind = path.suffix.lower()
    if kind not in (".csv", ".parquet"):
        raise UsageError(f"{clean(path.name)} ends in neither .csv nor .parquet; name it so")
    if kind == ".parquet" and find_spec("pyarrow") is None:
        raise UsageError(
            "Parquet needs the package pyarrow, which is not installed; run 'pip install pyarrow', "
            "or write a .csv"
        )
    frame = figures_frame(book, where)
    if frame.empty and where != EVERYTHING:
        raise UsageError("no roast fits what was asked for, so nothing was written")
    if kind == ".parquet":
        write_over(path, lambda part: frame.to_parquet(part, index=False), _PARQUET)
        return len(frame)
    table = frame.round({name: 4 if name.endswith("_share") else 2 for name in NUMBERS})
    for name in table.select_dtypes(include=["object", "string"]):
        table[name] = table[name].map(safe_cell, na_action="ignore")
    # With the byte order mark a spreadsheet reads ° and é as they are; text in quotes is parted
    # neither at a semicolon nor at a tab, so that no part of it can be a formula.
    layout: dict[str, Any] = {"encoding": "utf-8-sig", "lineterminator": "\r\n"}
    layout["quoting"] = csv.QUOTE_NONNUMERIC
    head = ",".join(f'"{name}"' for name in table.columns[:4]).encode()
    write_over(path, lambda part: table.to_csv(part, index=False, **layout), head)
    return len(frame)


def safe_name(text: str) -> str:
    """A file name that every system takes, without its ending."""
    name = _UNSAFE_IN_NAMES.sub("-", clean(text, _LONGEST_NAME)).strip(" .")
    return f"_{name}" if _RESERVED.match(name) or not name else name


def _named(roast: Roast) -> str:
    day = (roast.started_at or "")[:16].replace("T", " ").replace(":", ".")
    return f"{day} {roast.title}".strip()


def _free(folder: Path, stem: str) -> Path:
    path, count = folder / f"{stem}.csv", 2
    while path.exists():
        path = folder / f"{stem} ({count}).csv"
        count += 1
    return path


def _not_written(path: Path, error: OSError) -> StoreError:
    return StoreError(
        f"{clean(str(path))} cannot be written ({disk.reason(error)}); choose another place or "
        "free some space"
    )
