"""The command `report`."""

from __future__ import annotations

import sys
from pathlib import Path

from roastside.core.text import clean
from roastside.core.units import Degrees
from roastside.desk.report_page import REPORT_HEAD, report_page
from roastside.desk.roast_story import kept_reference, roast_story
from roastside.desk.written import write_over
from roastside.live.home import home
from roastside.live.settings import load_settings


def run_report(roast_file: Path, out: str, reference: str, degrees: Degrees) -> int:
    """Write the report of a roast as an HTML file, and tell where; the exit code.

    `out`: its name, else that of the roast, in the folder one is in. `reference`: a roast file,
    else the one the roast's header names, where the book has it.
    """
    against = Path(reference) if reference else kept_reference(home(), roast_file)
    tolerance_c = load_settings().plan.tolerance_c
    page = report_page(roast_story(roast_file, against, degrees, tolerance_c), degrees)
    path = Path(out) if out else Path.cwd() / f"{roast_file.stem}.html"
    write_over(path, lambda part: _write(part, page), REPORT_HEAD.encode())
    print(clean(str(path)))
    if not reference and against is None:
        print(
            "roastside: the book knows no reference of this roast; to compare it with one, add "
            "--reference FILE",
            file=sys.stderr,
        )
    return 0


def _write(path: Path, page: str) -> None:
    path.write_text(page, encoding="utf-8")
