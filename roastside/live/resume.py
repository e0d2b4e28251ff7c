"""A roast that a crash or a power cut interrupted, and going on with it."""

from __future__ import annotations

import os
import time
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from roastside.core.errors import RoastsideError, StoreError
from roastside.core.readings import MarkName, Reading
from roastside.core.session import Session
from roastside.live.home import rescue_folders
from roastside.live.opening import calibrated, load_reference, probe_source
from roastside.live.past import recorded_habits
from roastside.live.roast import LiveRoast
from roastside.live.settings import settings_or_usual
from roastside.live.under_way import UnderWay, note_under_way, noted_under_way
from roastside.probes.calibrated import calibrations_of
from roastside.probes.replay import in_time
from roastside.probes.source import RoastClock
from roastside.record import disk
from roastside.record.reader import RoastFile, read_roast_file
from roastside.record.resumed import ResumedRecorder

LONGEST_CUT_S = 30 * 60.0
LONGEST_ROAST_S = 60 * 60.0
"""What was interrupted longer ago, or charged longer ago, is over: nobody roasts so long."""

_CLOCKS_AGREE_S = 10.0


@dataclass(frozen=True, slots=True)
class Interrupted:
    """A roast that may still be in the roaster. Seconds on the recording's clock.

    `now_s` is what that clock would show at this moment; None if that cannot be told, as the
    machine's clock has been set back.
    """

    note: UnderWay
    note_path: Path
    file: RoastFile
    charge_s: float
    last_s: float
    last_bean_c: float | None
    now_s: float | None


def interrupted() -> Interrupted | None:
    """The newest roast that was charged, not dropped, and cut off a short while ago.

    Notes of roasts that can no longer be going on are taken away. Nothing is raised.
    """
    for note, path in noted_under_way():
        try:
            found = _interrupted(note, path)
        except StoreError:
            continue  # another roastside is recording it
        except (RoastsideError, OSError):
            found = None
        if found is not None:
            return found
        with suppress(OSError):
            path.unlink()
    return None


def _interrupted(note: UnderWay, path: Path) -> Interrupted | None:
    recording = Path(note.recording)
    if not recording.is_file():
        return None
    os.close(disk.open_for_appending(recording))
    file, written_unix_s = read_roast_file(recording), recording.stat().st_mtime
    marks = file.marks()
    charge_s, readings = marks.get(MarkName.CHARGE), _readings(file)
    if charge_s is None or MarkName.DROP in marks or not readings:
        return None
    last_s = max(row.time_s for row in file.rows)
    now_s = clock_now_s(note.began_unix_s, last_s, written_unix_s, time.time())
    too_old = now_s is not None and (
        now_s - last_s > LONGEST_CUT_S or now_s - charge_s > LONGEST_ROAST_S
    )
    if too_old:
        return None
    return Interrupted(note, path, file, charge_s, last_s, readings[-1].bean_c, now_s)


def clock_now_s(
    began_unix_s: float, last_s: float, written_unix_s: float, now_unix_s: float
) -> float | None:
    """What a recording's clock shows now, seconds; None if it cannot be told.

    The steady clock that stamped the readings is gone with the program. The machine's clock says
    how long ago it began; but that clock can have been set meanwhile (over the network after a
    start, for one). Then it does not agree with when the last row was written, and the time since
    that is what counts. If it was set back behind that moment, nothing is known.
    """
    if now_unix_s < written_unix_s:
        return None
    if abs(began_unix_s + last_s - written_unix_s) > _CLOCKS_AGREE_S:
        return round(last_s + now_unix_s - written_unix_s, 3)
    return round(max(last_s, now_unix_s - began_unix_s), 3)


def resumed_roast(cut: Interrupted) -> LiveRoast:
    """The roast gone on with: the same recording, reference and plan, its clock right.

    If the time that passed cannot be told the clock goes on from the last row.
    Opened, not yet started. Raises UsageError, ProbeError, RecordError or StoreError.
    """
    note = cut.note
    settings, _ = settings_or_usual()
    reference = load_reference(Path(note.reference)) if note.reference else None
    recording = Path(note.recording)
    plan = replace(note.plan(settings.plan), habits=recorded_habits(recording, reference))
    recorder = ResumedRecorder(recording, rescue_folders())
    # A recording holds temperatures corrected in one way; what is calibrated since does not count.
    corrections = calibrations_of(recorder.found)
    source = calibrated(probe_source(note.lines, _clock(cut)), corrections)
    keep_note = partial(
        note_under_way, source=source, lines=note.lines, reference=note.reference, plan=plan
    )
    recalled = list(in_time(recorder.found.items()))
    roast = LiveRoast(source, Session(plan, reference), recorder, recalled, keep_note)
    roast.open()
    return roast


def _clock(cut: Interrupted) -> RoastClock:
    """The recording's clock, going on. Time has passed since the person was asked."""
    written_unix_s = Path(cut.note.recording).stat().st_mtime
    now_s = clock_now_s(cut.note.began_unix_s, cut.last_s, written_unix_s, time.time())
    return RoastClock(already_s=cut.last_s if now_s is None else now_s)


def leave(cut: Interrupted) -> None:
    """Do not offer this roast again; its recording stays as it is."""
    with suppress(OSError):
        cut.note_path.unlink()


def _readings(file: RoastFile) -> list[Reading]:
    return [i for i in file.items() if isinstance(i, Reading) and i.bean_c is not None]
