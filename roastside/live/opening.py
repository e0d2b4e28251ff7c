"""Opening what a command names: a reference, a source, a recording."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from roastside.core.readings import Reading
from roastside.core.reference import Reference
from roastside.live.home import rescue_folders
from roastside.probes.serial_source import SerialSource
from roastside.probes.source import RoastClock
from roastside.probes.wire.spec import parse_wire
from roastside.record.reader import read_roast_file
from roastside.record.recorder import Recorder


def load_reference(path: Path) -> Reference:
    """Read a roast file as a reference. Raises RecordError or UsageError with a sentence."""
    roast = read_roast_file(path)
    readings = (item for item in roast.items() if isinstance(item, Reading))
    return Reference.from_readings(roast.title, readings, roast.marks())


def serial_source(port: str, wire: str, baud: int) -> SerialSource:
    """A serial line, not yet opened. Raises UsageError if the wire's words are wrong."""
    return SerialSource(port, parse_wire(wire), baud, RoastClock())


def new_recorder(
    path: Path, started_at: datetime, title: str, reference: Reference | None
) -> Recorder:
    """A recording at `path`, not yet opened, with its header, and folders for what it refuses."""
    header = {"title": title, "started_at": started_at.astimezone().isoformat(timespec="seconds")}
    if reference is not None:
        header["reference"] = reference.title
    return Recorder(path, header, rescue_dirs=rescue_folders())
