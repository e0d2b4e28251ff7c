"""A reference as a roast file: already smooth, a row for each point of its grid.

The columns are `time_s,bean_c,rate,corridor,mark,value,note`: elapsed seconds, °C, °C/min, and half
the width of the corridor in °C. A reference that is doubted where readings were missing has a
column `doubt` after the corridor, the standard deviation of its curve in °C. None of these bears
`_c`, as columns that do are probes.
"""

from __future__ import annotations

import contextlib
import os
import re
import tempfile
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path

import numpy as np

from roastside.core.cues import Cue, control_words
from roastside.core.errors import RecordError, StoreError
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import ONCE_ONLY, Mark, MarkName
from roastside.core.reference import Reference
from roastside.core.smooth import Curve
from roastside.core.text import clean
from roastside.record import disk
from roastside.record import format as words
from roastside.record.lineage import KIND, REFERENCE, Lineage
from roastside.record.reader import RoastFile, read_roast_file

RATE, CORRIDOR, DOUBT = "rate", "corridor", "doubt"
COLUMNS = (words.TIME, words.BEAN, RATE, CORRIDOR, words.MARK, words.VALUE, words.NOTE)
COLUMNS_DOUBTED = (*COLUMNS[:4], DOUBT, *COLUMNS[4:])

_DECIMALS = 5
"""Half a second apart, temperatures rounded to three would make the rate between them jagged by
0.1 °C/min once the curve is edited."""

_PERCENTAGE = re.compile(r"(?P<name>\S.*) to (?P<value>\d+(?:\.\d+)?) %")


@dataclass(frozen=True, slots=True)
class ReferenceFile:
    """A reference as found, where it comes from, and its whole header with later facts."""

    reference: Reference
    lineage: Lineage
    header: Mapping[str, str]


def reference_text(reference: Reference, header: Mapping[str, str]) -> str:
    """The whole text of a reference file; `header` as Lineage makes it.

    Raises UsageError for a header key that is not well formed.
    """
    columns = COLUMNS if reference.doubt_c is None else COLUMNS_DOUBTED
    return words.head_text(header, columns) + "".join(_rows(reference, columns))


def write_reference_file(path: Path, reference: Reference, header: Mapping[str, str]) -> None:
    """Store a reference in a new file: there is all of it, or none.

    Raises StoreError if there is a file of that name, or it cannot be stored.
    """
    data = reference_text(reference, header).encode()
    name = clean(str(path))
    temporary: Path | None = None
    try:
        fd, made = tempfile.mkstemp(prefix=".", suffix=".part", dir=path.parent)
        temporary = Path(made)
        try:
            disk.write_all(fd, data)
            disk.sync(fd)
        finally:
            os.close(fd)
        temporary.chmod(0o644)
        # The name is taken first, as a rename would put itself in place of what is there.
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o644))
        temporary.replace(path)
        disk.sync_folder(path.parent)
    except FileExistsError as error:
        raise StoreError(
            f"{name} is there already, and a reference never overwrites; give it another name."
        ) from error
    except (OSError, ValueError) as error:
        raise StoreError(
            f"The reference {name} cannot be stored ({disk.reason(error)}); check its folder, free "
            "some space, and store it again."
        ) from error
    finally:
        if temporary is not None:
            with contextlib.suppress(OSError):
                temporary.unlink()


def read_reference_file(path: str | os.PathLike[str]) -> ReferenceFile:
    """A reference file as it was written. Raises RecordError, one sentence, if it is none."""
    file = read_roast_file(path)
    return ReferenceFile(reference_in(file), Lineage.of(file.header), file.header)


def is_reference(file: RoastFile) -> bool:
    """Whether a roast file says that it is a reference, smooth already."""
    return file.header.get(KIND) == REFERENCE


def reference_in(file: RoastFile) -> Reference:
    """The reference that a file holds, its curve taken as it is.

    Raises RecordError, one sentence, if the file does not hold a whole one.
    """
    name = clean(str(file.path))
    if not is_reference(file):
        raise RecordError(
            f"{name} is a roast, not a reference (it has no line 'kind: reference'); make a "
            "reference from it first."
        )
    marks = file.marks()
    charge_s = marks.get(MarkName.CHARGE, 0.0)
    points = [
        (row.time_s - charge_s, row.bean_c, row.other)
        for row in file.rows
        if row.bean_c is not None
    ]
    elapsed_s = np.array([at_s for at_s, _, _ in points])
    if len(points) < 2 or np.any(np.diff(elapsed_s) <= 0.0):
        raise RecordError(
            f"{name}: its rows are not in the order of time, or there are none, so this is no "
            "whole reference; store it again from the book."
        )
    rate = _column(name, RATE, points)
    if rate is None:
        raise RecordError(
            f"{name}: it has no column rate, so it is no whole reference; take the line 'kind: "
            "reference' away to have it smoothed like a roast."
        )
    reference = Reference.from_curve(
        file.title,
        elapsed_s,
        np.array([bean_c for _, bean_c, _ in points]),
        rate / SECONDS_PER_MINUTE,
        {mark: at_s - charge_s for mark, at_s in marks.items()},
        _column(name, CORRIDOR, points),
        _column(name, DOUBT, points),
    )
    return replace(reference, cues=tuple(_cues(file, reference, charge_s)))


def _rows(reference: Reference, columns: Sequence[str]) -> Iterator[str]:
    """The rows in the order of time, marks and cues after the point at or before them."""
    elapsed_s, bean_c, rate = reference.arrays
    beside: list[Sequence[float | None]] = [reference.corridor_c or [None] * len(bean_c)]
    if reference.doubt_c is not None:
        beside.append(reference.doubt_c)
    standing: dict[str, float] = {
        MarkName.CHARGE: 0.0,
        MarkName.TURNING_POINT: reference.turning_point_s,
        **reference.marks,
    }
    marks = [Mark(standing[name], name) for name in ONCE_ONLY if name in standing]
    marks += [mark for cue in reference.cues for mark in _cue_marks(cue)]
    marks.sort(key=lambda mark: mark.time_s)
    waiting = deque(marks)
    for at_s, *numbers in zip(elapsed_s, bean_c, rate, *beside, strict=True):
        while waiting and waiting[0].time_s < at_s:
            yield words.row_text(waiting.popleft(), columns)
        yield words.cells_text([words.number_text(at_s), *map(_decimal, numbers), "", "", ""])
    yield from (words.row_text(mark, columns) for mark in waiting)


def _decimal(value: float | None) -> str:
    return "" if value is None else words.number_text(round(float(value), _DECIMALS) + 0.0)


def _cue_marks(cue: Cue) -> list[Mark]:
    """A cue as control rows: the value apart from its name where that says the same."""
    marks = [_control(cue.elapsed_s, part) for part in cue.words.split(", ")]
    if ", ".join(control_words(mark) for mark in marks) == cue.words:
        return marks
    return [Mark(cue.elapsed_s, MarkName.CONTROL, value=cue.words)]


def _control(elapsed_s: float, part: str) -> Mark:
    found = _PERCENTAGE.fullmatch(part)
    if found is None:
        return Mark(elapsed_s, MarkName.CONTROL, value=part)
    return Mark(elapsed_s, MarkName.CONTROL, found["value"], f"{found['name']} %")


def _cues(file: RoastFile, reference: Reference, charge_s: float) -> Iterator[Cue]:
    """Control rows of the same moment are one cue."""
    controls = [i for i in file.items() if isinstance(i, Mark) and i.mark == MarkName.CONTROL]
    for time_s, together in groupby(controls, key=lambda mark: mark.time_s):
        said = ", ".join(filter(None, map(control_words, together)))
        if said and reference.covers(time_s - charge_s):
            yield reference.cue(time_s - charge_s, said)


def _column(
    file_name: str, column: str, points: Sequence[tuple[float, float, Mapping[str, str]]]
) -> Curve | None:
    """A column of numbers beside the temperatures; None if it is empty throughout."""
    cells = [other.get(column, "") for _, _, other in points]
    if not any(cells):
        return None
    numbers = [words.parse_number(cell) for cell in cells]
    for (at_s, _, _), number in zip(points, numbers, strict=True):
        if number is None or not np.isfinite(number):
            raise RecordError(
                f"{file_name}: there is no {column} at {at_s:.1f} s, so this is no whole "
                "reference; store it again from the book."
            )
    return np.array(numbers, dtype=np.float64)
