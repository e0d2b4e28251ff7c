"""Opening what a command names: a reference, a source, a recording."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from types import MappingProxyType

from roastside.core.past import NOTHING_LEARNED, Habits
from roastside.core.readings import Mark, MarkName, Reading
from roastside.core.reference import Reference
from roastside.live.home import rescue_folders
from roastside.live.line import Line
from roastside.live.past import HABITS
from roastside.probes.calibrated import CalibratedSource, Calibrations, calibration_facts
from roastside.probes.channels import further_columns, own_rows
from roastside.probes.merged import MergedSource
from roastside.probes.opening import device_source
from roastside.probes.source import Clock, RoastClock, Source
from roastside.record.format import OWN_ROWS
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder
from roastside.record.reference_file import is_reference, reference_in


def load_reference(path: Path) -> Reference:
    """Read a roast file as a reference; a reference file is taken as it is, smooth already.

    Raises RecordError or UsageError with a sentence.
    """
    roast = read_roast_file(path)
    if is_reference(roast):
        return reference_in(roast)
    items = list(roast.items())
    marks = roast.marks()
    readings = (item for item in items if isinstance(item, Reading))
    reference = Reference.from_readings(roast.title, readings, marks)
    controls = (i for i in items if isinstance(i, Mark) and i.mark == MarkName.CONTROL)
    return reference.with_cues(controls, marks[MarkName.CHARGE])


def probe_source(lines: Sequence[Line], clock: Clock | None = None) -> Source:
    """One adapter or several heard as one, not yet opened. `clock`: a new one unless given.

    Raises UsageError if a wire's words are wrong or the wires do not fit together.
    """
    clock = clock or RoastClock()
    alone = len(lines) == 1
    sources = [
        device_source(line.port, line.wire, line.baud, clock, bean_needed=alone) for line in lines
    ]
    return sources[0] if alone else MergedSource(sources, clock)


def calibrated(source: Source, calibrations: Calibrations) -> Source:
    """The source with its readings corrected, itself if there is nothing to correct."""
    return CalibratedSource(source, calibrations) if calibrations else source


def new_recorder(
    path: Path,
    started_at: datetime,
    title: str,
    reference: Reference | None,
    calibrations: Calibrations = MappingProxyType({}),
    source: Source | None = None,
    habits: Habits = NOTHING_LEARNED,
    facts: Mapping[str, str] = MappingProxyType({}),
    anywhere: bool = False,
) -> Recorder:
    """A recording at `path`, not yet opened, with its header, and folders for what it refuses.

    `calibrations`: how the readings it will be given were corrected. `source`: where they come
    from, as it tells which further columns there are. `habits`: what the roast begins with, so
    that a replay does too. `facts`: further header lines, such as the coffee. `anywhere`: another
    folder will do, if `path` cannot be written.
    """
    header = {"title": title, "started_at": started_at.astimezone().isoformat(timespec="seconds")}
    header |= facts
    if reference is not None:
        header["reference"] = reference.title
    if learned := habits.in_words():
        header[HABITS] = learned
    header |= calibration_facts(calibrations)
    columns = further_columns(source) if source else ()
    if source is not None and own_rows(source):
        header[OWN_ROWS] = " ".join(own_rows(source))
    return Recorder(path, header, columns, rescue_folders(), anywhere)
