"""The command `export`."""

from __future__ import annotations

import sys
from pathlib import Path

from roastside.book.filters import condition
from roastside.core.text import clean
from roastside.desk.exporting import export_figures, export_roasts
from roastside.desk.whats_new import up_to_date_book
from roastside.live.home import home


def run_export_roasts(folder: Path, where: str) -> int:
    """Copy roast files into a folder and tell how many; 2 if some could not be read."""
    with up_to_date_book(home()) as book:
        done = export_roasts(book, folder, condition(where))
    print(f"{_roasts(len(done.files))} written to {clean(str(folder))}")
    for reason in done.refused:
        print(f"roastside: {clean(reason)}", file=sys.stderr)
    return 2 if done.refused else 0


def run_export_figures(file: Path, where: str) -> int:
    """Write the figures of the roasts as a table and tell how many; the exit code."""
    with up_to_date_book(home()) as book:
        count = export_figures(book, file, condition(where))
    print(f"{_roasts(count)} written to {clean(str(file))}")
    return 0


def _roasts(count: int) -> str:
    return "1 roast" if count == 1 else f"{count:,} roasts"
