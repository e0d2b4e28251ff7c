"""One past roast, looked into: its whole curve, what was written down, what its rate did."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from roastside.book.rows import Roast
from roastside.book.store import Book
from roastside.book.versions import version_of
from roastside.core.errors import RoastsideError
from roastside.core.findings import clock
from roastside.core.finished import FinishedRoast
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import MarkName, Reading
from roastside.core.side_by_side import RoastFigures
from roastside.core.smooth import Curve
from roastside.core.units import Degrees
from roastside.live.compare_files import shape_words
from roastside.live.opening import load_reference
from roastside.record.format import parse_fact
from roastside.record.reader import RoastFile, read_roast_file

_HANDMADE = (MarkName.CONTROL, MarkName.COMMENT)


@dataclass(frozen=True, slots=True, eq=False)
class PastRoast:
    """Temperatures (°C) and rate (°C/min) over elapsed seconds, and sentences.

    `air_c` has its own times. `marks`: elapsed seconds by mark name. `notes`: what people wrote
    and turned, in the order of time. `findings`: what the rate did.
    """

    elapsed_s: Curve
    bean_c: Curve
    rate_c_per_min: Curve
    air_at_s: Curve
    air_c: Curve
    marks: Mapping[str, float]
    notes: list[str]
    findings: list[str]


@dataclass(frozen=True, slots=True, eq=False)
class HeldAgainst:
    """A reference's curve, for drawing beside a roast, and its figures."""

    elapsed_s: Curve
    bean_c: Curve
    figures: RoastFigures


def look_into(path: Path, degrees: Degrees) -> PastRoast:
    """Read and smooth a roast file. Raises RecordError or UsageError, a sentence."""
    file = read_roast_file(path)
    marks = file.marks()
    readings = [item for item in file.items() if isinstance(item, Reading)]
    roast = FinishedRoast.from_readings(file.title, readings, marks)
    curve, charge_s = roast.curve, marks[MarkName.CHARGE]
    rate = SECONDS_PER_MINUTE * curve.slope_c_per_s
    rate = np.where(curve.time_s > roast.marks[MarkName.TURNING_POINT], rate, np.nan)
    last_s = float(curve.time_s[-1])
    air = [
        (row.time_s - charge_s, row.air_c)
        for row in file.rows
        if row.air_c is not None and 0.0 <= row.time_s - charge_s <= last_s
    ]
    air_at_s, air_c = np.array(air, dtype=float).reshape(-1, 2).T
    return PastRoast(
        curve.time_s,
        curve.bean_c,
        rate,
        air_at_s,
        air_c,
        roast.marks,
        _notes(file, charge_s),
        shape_words(roast, degrees),
    )


def reference_of(book: Book, roast: Roast) -> HeldAgainst | None:
    """The reference a roast was held against, if the book has it and its file can be read."""
    if roast.version_id is None:
        return None
    try:
        version = version_of(book, roast.version_id)
        reference = load_reference(book.located(version.file))
    except RoastsideError:
        return None
    elapsed_s, bean_c, _ = reference.arrays
    marks = {MarkName.TURNING_POINT: reference.turning_point_s, **reference.marks}
    figures = RoastFigures.from_curve(reference.title, elapsed_s, bean_c, marks)
    return HeldAgainst(elapsed_s, bean_c, figures)


def _notes(file: RoastFile, charge_s: float) -> list[str]:
    rows = [row for row in file.rows if row.mark in _HANDMADE]
    told = (
        (row.time_s - charge_s, " ".join(filter(None, (row.value, row.note))))
        for row in rows
        if parse_fact(row.note) is None and parse_fact(row.value) is None
    )
    return [
        f"{clock(at_s)} {text}" if at_s >= 0.0 else f"before charge: {text}"
        for at_s, text in sorted(told)
        if text
    ]
