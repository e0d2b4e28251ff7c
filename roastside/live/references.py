"""Making references out of recordings, and keeping them in their folder."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from roastside.core.errors import StoreError, UsageError
from roastside.core.finished import FinishedRoast
from roastside.core.readings import ONCE_ONLY, Mark, MarkName, Reading
from roastside.core.reference import Reference
from roastside.core.repeats import mean_of_repeats
from roastside.core.session import Session
from roastside.live.home import home
from roastside.record.lineage import Lineage
from roastside.record.reader import RoastFile
from roastside.record.reference_file import is_reference, reference_in, write_reference_file
from roastside.record.titles import file_stem

_UNFIT = {
    "wrong_unit": "its temperatures seem to be in °F",
    "probes_swapped": "its bean and air probe seem to be the wrong way round",
}
"""Alerts after which a recording is no roast to repeat, and what they mean."""


def from_roast(file: RoastFile, title: str | None = None) -> Reference:
    """A recording, smoothed, as a reference with its cues; marks that nobody made are found.

    A reference file is taken as it is. Raises RecordError or UsageError with one sentence.
    """
    title = title or file.title
    if is_reference(file):
        return replace(reference_in(file), title=title)
    session, items = Session(), list(file.items())
    for item in items:
        session.feed(item)
    found = ((name, session.marks.time_s(MarkName(name))) for name in ONCE_ONLY)
    marks = {name: time_s for name, time_s in found if time_s is not None}
    for alert in session.finish().alerts:
        if alert in _UNFIT:
            raise UsageError(
                f"{file.title} cannot be a reference, as {_UNFIT[alert]}; choose another roast"
            )
    readings = (item for item in items if isinstance(item, Reading))
    roast = FinishedRoast.from_readings(file.title, readings, marks, through_gaps=True)
    if MarkName.DROP not in roast.marks:
        raise UsageError(
            f"{file.title} has no drop, so nobody knows where it ends; mark its drop, or choose "
            "another roast"
        )
    reference = Reference.from_smoothed(title, roast.curve, roast.marks)
    controls = (i for i in items if isinstance(i, Mark) and i.mark == MarkName.CONTROL)
    return reference.with_cues(controls, marks[MarkName.CHARGE])


def from_repeats(files: Sequence[RoastFile], title: str) -> Reference:
    """The mean of several recordings, with their spread as its corridor.

    Whether one of them is unlike the others is told by `repeats.disagreeing`. Raises RecordError
    or UsageError with one sentence.
    """
    return mean_of_repeats(title, [from_roast(file) for file in files])


def references() -> Path:
    """The folder of references, made if need be. Raises StoreError if it cannot be."""
    place = home() / "references"
    try:
        place.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"cannot make the folder {place} for references ({error.strerror or error}); "
            "set ROASTSIDE_HOME to a folder you can write to"
        ) from error
    return place


def save_reference(reference: Reference, lineage: Lineage) -> Path:
    """Store a new version in the folder of references; where it is now.

    Raises StoreError if there is a version of that name already, or it cannot be stored.
    """
    path = references() / f"{file_stem(lineage.title)}.csv"
    write_reference_file(path, reference, lineage.header())
    return path
