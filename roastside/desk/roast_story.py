"""Everything a report tells of a roast, gathered from its file and its reference."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from roastside.book.figures import Target, figures
from roastside.book.targets import target_of
from roastside.book.versions import version_titled
from roastside.core.cues import control_words
from roastside.core.errors import BookError, UsageError
from roastside.core.finished import FinishedRoast
from roastside.core.readings import Mark, MarkName, Reading
from roastside.core.reference import Reference
from roastside.core.session import Session
from roastside.core.side_by_side import RoastFigures, comparison_words
from roastside.core.stages import Marks
from roastside.core.units import Degrees
from roastside.desk.whats_new import up_to_date_book
from roastside.live.compare_files import load_finished, shape_words
from roastside.live.opening import load_reference
from roastside.record.format import parse_fact
from roastside.record.reader import RoastFile, read_roast_file


@dataclass(frozen=True, slots=True)
class Remark:
    """Something said during the roast: elapsed seconds, bean temperature °C if known, words."""

    elapsed_s: float
    bean_c: float | None
    words: str


@dataclass(frozen=True, eq=False)
class RoastStory:
    """A finished roast, its reference if it has one, and what there is to say, in sentences.

    `target` is the reference with its corridor. `worst_c` and `within_share`: see book.figures.
    `notes` and `controls` in the order of time.
    """

    title: str
    header: Mapping[str, str]
    roast: FinishedRoast
    figures: RoastFigures
    reference: Reference | None
    reference_figures: RoastFigures | None
    target: Target | None
    worst_c: float | None
    within_share: float | None
    findings: list[str]
    differences: list[str]
    notes: list[Remark]
    controls: list[Remark]


def roast_story(
    path: Path, reference: Path | None, degrees: Degrees, tolerance_c: float
) -> RoastStory:
    """Gather it. `reference`: the file to hold the roast against, if any.

    `tolerance_c`: half-width of the corridor where the reference gives none. Raises RecordError or
    UsageError, a sentence.
    """
    file = read_roast_file(path)
    roast = load_finished(path)
    own = RoastFigures.of(roast)
    against = None if reference is None else load_reference(reference)
    target = None
    theirs = None
    if against is not None:
        target = _target(against, tolerance_c)
        theirs = _figures(against)
    worst_c, within = _departure(file, roast, target)
    said = _remarks(file, roast)
    return RoastStory(
        title=file.title,
        header=file.header,
        roast=roast,
        figures=own,
        reference=against,
        reference_figures=theirs,
        target=target,
        worst_c=worst_c,
        within_share=within,
        findings=shape_words(roast, degrees),
        differences=[] if theirs is None else comparison_words(theirs, own, degrees),
        notes=said[0],
        controls=said[1],
    )


def kept_reference(home: Path, roast_file: Path) -> Path | None:
    """The file of the reference that a roast's header names, as the book knows it."""
    title = read_roast_file(roast_file).header.get("reference", "")
    if not title:
        return None
    try:
        with up_to_date_book(home) as book:
            version = version_titled(book, title)
            return None if version is None else book.located(version.file)
    except BookError:
        return None


def _target(reference: Reference, tolerance_c: float) -> Target:
    reference = reference.allowing_for_doubt(tolerance_c)
    target = target_of(reference)
    if reference.corridor_c:
        return target
    return replace(target, corridor_c=np.full_like(target.bean_c, tolerance_c))


def _figures(reference: Reference) -> RoastFigures:
    elapsed_s, bean_c, _ = reference.arrays
    marks = {MarkName.TURNING_POINT: reference.turning_point_s, **reference.marks}
    return RoastFigures.from_curve(reference.title, elapsed_s, bean_c, marks)


def _departure(
    file: RoastFile, roast: FinishedRoast, target: Target | None
) -> tuple[float | None, float | None]:
    points = [
        (item.time_s, item.bean_c)
        for item in file.items()
        if isinstance(item, Reading) and item.bean_c is not None
    ]
    time_s, bean_c = np.array(points, dtype=np.float64).reshape(-1, 2).T
    charge_s = _charge_s(file, roast)
    marks = Marks()
    for name, at_s in {MarkName.CHARGE: 0.0, **roast.marks}.items():
        marks.take(Mark(at_s + charge_s, name))
    found = figures(time_s, bean_c, marks, target)
    return found.worst_departure_c, found.within_share


def _remarks(file: RoastFile, roast: FinishedRoast) -> tuple[list[Remark], list[Remark]]:
    charge_s = _charge_s(file, roast)
    notes: list[Remark] = []
    controls: list[Remark] = []
    for item in file.items():
        if not isinstance(item, Mark):
            continue
        if item.mark == MarkName.CONTROL:
            controls.append(_remark(item.time_s - charge_s, control_words(item), roast))
        elif item.mark == MarkName.COMMENT:
            words = " ".join(text for text in (item.value, item.note) if text)
            if words and parse_fact(item.note) is None and parse_fact(item.value) is None:
                notes.append(_remark(item.time_s - charge_s, words, roast))
    by_time = sorted(notes, key=lambda remark: remark.elapsed_s)
    return by_time, sorted(controls, key=lambda remark: remark.elapsed_s)


def _remark(elapsed_s: float, words: str, roast: FinishedRoast) -> Remark:
    curve = roast.curve
    on_curve = curve.time_s[0] <= elapsed_s <= curve.time_s[-1]
    bean_c = float(np.interp(elapsed_s, curve.time_s, curve.bean_c)) if on_curve else None
    return Remark(elapsed_s, bean_c, words)


def _charge_s(file: RoastFile, roast: FinishedRoast) -> float:
    """Stream seconds of charge; where nobody marked it, load_finished has found it."""
    charge_s = file.charge_s
    if charge_s is not None:
        return charge_s
    session = Session()
    for item in file.items():
        session.feed(item)
    charge_s = session.marks.time_s(MarkName.CHARGE)
    if charge_s is None:
        raise UsageError(f"{file.title} has no charge mark; add one, or choose another roast")
    return charge_s
