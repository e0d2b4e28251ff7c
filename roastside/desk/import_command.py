"""The command `import`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path

from roastside.book.store import Book
from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.desk.asking import ask_layout
from roastside.desk.importing import Proposal, Report, import_files
from roastside.desk.layout import Layout, parse_map
from roastside.desk.progress import ProgressBar
from roastside.live.home import home


def run_import(files: Sequence[str], layout: str, began: str) -> int:
    """Take in the files, print what became of each; 0 if all were taken in, else 2."""
    told = parse_map(layout) if layout else None
    moment = _moment(began) if began else None
    bar = ProgressBar()

    def ask(proposal: Proposal) -> Layout:
        bar.take_away()
        return ask_layout(proposal)

    at_terminal = sys.stdin is not None and sys.stdin.isatty()
    with Book.open(home()) as book:
        paths = [Path(file) for file in files]
        report = import_files(book, paths, told, ask if at_terminal else None, bar, moment)
        not_indexed = "" if book.writable else book.why_not
    print(report_text(report))
    if not_indexed and report.taken:
        print(
            f"roastside: the book could not be changed, as {not_indexed}; it takes these roasts in "
            "when roastside is next begun",
            file=sys.stderr,
        )
    return 2 if report.refused else 0


def report_text(report: Report) -> str:
    """What was taken in and what was refused and why, a line each."""
    total = len(report.taken) + len(report.refused)
    lines = [f"{len(report.taken)} of {_counted(total, 'file')} taken in."]
    for taken in report.taken:
        marks = [mark.replace("_", " ") for mark in taken.marks]
        facts = [_counted(taken.readings, "reading"), *marks]
        if taken.skipped:
            facts.append(f"{_counted(taken.skipped, 'line')} without a time left out")
        if taken.remembered:
            facts.append(f"columns as told before ({clean(taken.remembered)})")
        lines.append(f"  {clean(taken.source.name)} is {taken.recording.name}: {', '.join(facts)}")
    if report.refused:
        lines.append("Refused:")
    for refused in report.refused:
        where = clean(str(refused.source)) + (f", line {refused.line}" if refused.line else "")
        lines.append(f"  {where}: {clean(refused.reason, 2000)}")
    return "\n".join(lines)


def _counted(count: int, what: str) -> str:
    return f"{count:,} {what}" + ("" if count == 1 else "s")


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError as error:
        raise UsageError(
            f"'{clean(text)}' is no date for --date; write 2026-03-14 or 2026-03-14T07:30"
        ) from error
