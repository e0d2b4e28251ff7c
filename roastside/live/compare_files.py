"""Two roast files side by side: the command `compare`."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from roastside.core.findings import finding_words
from roastside.core.finished import FinishedRoast
from roastside.core.readings import ONCE_ONLY, MarkName, Reading
from roastside.core.session import Session
from roastside.core.shape import shape_findings
from roastside.core.side_by_side import RoastFigures, comparison_words
from roastside.core.text import clean
from roastside.core.units import Degrees
from roastside.record.reader import read_roast_file

_DOUBTS = {
    "wrong_unit": "its temperatures seem to be in °F; what is said of them is not to be trusted",
    "probes_swapped": "bean and air probe seem to be the wrong way round; what is said of the "
    "bean temperature is not to be trusted",
}
"""What to say of a file in which these alerts were raised."""


def compare_files(first: Path, second: Path, degrees: Degrees) -> int:
    """Print how the second roast differs from the first, and the shape of both; the exit code.

    Raises RecordError or UsageError with a sentence.
    """
    text = comparison_text(load_finished(first), load_finished(second), degrees)
    try:
        print(text, flush=True)
    except BrokenPipeError:
        # Whoever read has seen enough. Else Python, at its end, would try again and complain.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return 0


def load_finished(path: Path) -> FinishedRoast:
    """A roast file as a finished roast; marks that nobody made are found as in a replay.

    If its temperatures are not to be trusted, stderr is told so. Raises RecordError or UsageError
    with a sentence.
    """
    file, session = read_roast_file(path), Session()
    items = list(file.items())
    for item in items:
        session.feed(item)
    found = ((name, session.marks.time_s(MarkName(name))) for name in ONCE_ONLY)
    marks = {name: time_s for name, time_s in found if time_s is not None}
    title = f"{file.title} ({clean(path.name)})"
    for alert in session.finish().alerts:
        if alert in _DOUBTS:
            print(f"roastside: {title}: {_DOUBTS[alert]}", file=sys.stderr)
    readings = [item for item in items if isinstance(item, Reading)]
    return FinishedRoast.from_readings(title, readings, marks)


def comparison_text(first: FinishedRoast, second: FinishedRoast, degrees: Degrees) -> str:
    """The comparison and the shape of both roasts, in lines for a terminal or a file."""
    differences = comparison_words(RoastFigures.of(first), RoastFigures.of(second), degrees)
    blocks = [_block(f"{second.title} against {first.title}:", differences)]
    blocks += [_block(f"{roast.title}:", shape_words(roast, degrees)) for roast in (first, second)]
    return "\n\n".join(blocks)


def shape_words(roast: FinishedRoast, degrees: Degrees) -> list[str]:
    """What the rate did in a finished roast, a sentence each."""
    words = [finding_words(finding, degrees) for finding in shape_findings(roast)]
    return words or ["Nothing to tell of its rate."]


def _block(head: str, lines: list[str]) -> str:
    return "\n".join([head, *(f"  {line}" for line in lines)])
