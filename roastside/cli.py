"""The command line: what each command does, and where every trouble ends."""

from __future__ import annotations

import argparse
import os
import signal
import sys
from collections.abc import Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from roastside.arguments import parser
from roastside.core.errors import RoastsideError
from roastside.core.text import clean

if TYPE_CHECKING:
    from roastside.core.plan import RoastPlan
    from roastside.core.session import Session
    from roastside.live.settings import DisplaySettings
    from roastside.live.under_way import Note
    from roastside.probes.source import Source
    from roastside.record.recorder import Recorder


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit code of contract 4."""
    _replace_closed_streams()
    if arguments is None:
        # Until a roast is under way, and ends itself cleanly, both end the command; a shell that
        # starts us in the background would have us ignore Ctrl-C.
        for name in (signal.SIGINT, signal.SIGTERM):
            signal.signal(name, signal.default_int_handler)
    commands = {
        "": _today,
        "replay": _replay,
        "listen": _listen,
        "follow": _follow,
        "demo": _demo,
        "compare": _compare,
        "probes": _probes,
        "calibrate": _calibrate,
        "sounds": _sounds,
        "import": _import,
        "export": _export,
        "report": _report,
        "consistency": _consistency,
        "rebuild": _rebuild,
        "backup": _backup,
        "restore": _restore,
    }
    try:
        chosen = parser(commands).parse_args(arguments)
        if chosen.run is not _today:
            _end_what_was_cut_short(chosen.run in (_export, _consistency, _rebuild, _backup))
        return int(chosen.run(chosen))
    except RoastsideError as error:
        # Arguments and names of files may hold anything, escape sequences and line ends too.
        print(f"roastside: {clean(str(error), 2000)}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return 0


def _end_what_was_cut_short(of_all_roasts: bool) -> None:
    from roastside.live.cut_short import end_restoring
    from roastside.live.home import home
    from roastside.live.rests import join_rests

    for told in (end_restoring(home()), join_rests() if of_all_roasts else ""):
        if told:
            print(f"roastside: {told}", file=sys.stderr)


def _today(chosen: argparse.Namespace) -> int:
    from roastside.app.app import open_today

    return open_today()


def _replay(chosen: argparse.Namespace) -> int:
    file = Path(chosen.file)
    session = _session(chosen, file)
    speed = getattr(chosen, "speed", None if chosen.events else 1.0)
    if chosen.events:
        from roastside.live.headless import run_headless
        from roastside.probes.replay import ReplaySource

        return run_headless(ReplaySource(file, speed), session)
    from roastside.app.app import open_replay
    from roastside.live.replay import Replay

    return open_replay(Replay(file, session, speed))


def _follow(chosen: argparse.Namespace) -> int:
    from roastside.probes.follow import FollowSource

    file = Path(chosen.file)
    return _follow_roast(chosen, FollowSource(file), _session(chosen, file), None)


def _listen(chosen: argparse.Namespace) -> int:
    from roastside.live.home import new_recording
    from roastside.live.line import chosen_lines
    from roastside.live.opening import calibrated, new_recorder, probe_source
    from roastside.live.settings import load_settings
    from roastside.live.under_way import note_under_way

    session = _session(chosen)
    calibrations = load_settings().calibration
    lines = chosen_lines(chosen.port, chosen.baud, chosen.wire)
    source = calibrated(probe_source(lines), calibrations)
    started_at = datetime.now()
    recorder: Recorder | None = None
    note: Note | None = None
    if chosen.record or not chosen.events:
        path = Path(chosen.record) if chosen.record else new_recording(started_at)
        held_against, habits = session.reference, session.plan.habits
        recorder = new_recorder(
            path,
            started_at,
            path.stem,
            held_against,
            calibrations,
            source,
            habits,
            anywhere=not chosen.record,
        )
        note = partial(
            note_under_way,
            source=source,
            lines=lines,
            reference=chosen.reference or "",
            plan=session.plan,
        )
    return _follow_roast(chosen, source, session, recorder, note)


def _demo(chosen: argparse.Namespace) -> int:
    from roastside.live.demo import DEMO_SPEED, demo_session, demo_source

    session = demo_session(_plan(chosen))
    return _follow_roast(chosen, demo_source(None if chosen.events else DEMO_SPEED), session, None)


def _compare(chosen: argparse.Namespace) -> int:
    from roastside.live.compare_files import compare_files

    return compare_files(Path(chosen.first), Path(chosen.second), _display(chosen).degrees)


def _probes(chosen: argparse.Namespace) -> int:
    from roastside.live.probe_search import Wish, search_probes

    return search_probes(Wish(chosen.port, chosen.seconds, chosen.ask, chosen.save))


def _calibrate(chosen: argparse.Namespace) -> int:
    from roastside.core.boiling import boiling_at_altitude, boiling_at_pressure
    from roastside.live.calibrate import calibrate
    from roastside.live.check import Wish

    place = None
    if chosen.altitude is not None:
        place = boiling_at_altitude(chosen.altitude)
    elif chosen.pressure is not None:
        place = boiling_at_pressure(chosen.pressure)
    wish = Wish(
        port=chosen.port,
        wire=chosen.wire,
        baud=chosen.baud,
        kind=chosen.type,
        channel=chosen.channel,
        person=chosen.person,
        ice=chosen.ice,
        boiling=chosen.boiling,
        place=place,
        steady_for_s=chosen.steady_for,
    )
    return calibrate(wish, chosen.patience, keep=not chosen.dry_run)


def _sounds(chosen: argparse.Namespace) -> int:
    from roastside.sound.show import play_sounds, save_sounds

    if chosen.save is None:
        return play_sounds(chosen.only, chosen.volume)
    return save_sounds(Path(chosen.save), chosen.only, chosen.volume)


def _rebuild(chosen: argparse.Namespace) -> int:
    from roastside.book.rebuild import rebuild_and_tell
    from roastside.live.home import home

    return rebuild_and_tell(home())


def _backup(chosen: argparse.Namespace) -> int:
    from roastside.book.backup import back_up_and_tell
    from roastside.live.home import home

    return back_up_and_tell(home(), Path(chosen.file))


def _restore(chosen: argparse.Namespace) -> int:
    from roastside.book.restore import restore_and_tell
    from roastside.live.home import home

    return restore_and_tell(home(), Path(chosen.file), chosen.replace)


def _import(chosen: argparse.Namespace) -> int:
    from roastside.desk.import_command import run_import

    return run_import(chosen.files, chosen.map, chosen.date)


def _export(chosen: argparse.Namespace) -> int:
    from roastside.desk.export_command import run_export_figures, run_export_roasts

    run = run_export_roasts if chosen.kind == "roasts" else run_export_figures
    return run(Path(chosen.to), chosen.where)


def _report(chosen: argparse.Namespace) -> int:
    from roastside.desk.report_command import run_report

    return run_report(Path(chosen.file), chosen.out, chosen.reference, _display(chosen).degrees)


def _consistency(chosen: argparse.Namespace) -> int:
    from roastside.desk.consistency_command import run_consistency

    return run_consistency(chosen.reference, _display(chosen).degrees)


def _follow_roast(
    chosen: argparse.Namespace,
    source: Source,
    session: Session,
    recorder: Recorder | None,
    note: Note | None = None,
) -> int:
    """Run a roast to its end; `note` keeps it as under way, so that it can be gone on with."""
    if chosen.events:
        from roastside.live.headless import run_headless

        return run_headless(source, session, recorder, note)
    from roastside.app.app import open_roast

    return open_roast(source, session, recorder, note)


def _session(chosen: argparse.Namespace, recording: Path | None = None) -> Session:
    """What follows the roast; if it is a recording, it knows what was known then and no more."""
    from dataclasses import replace

    from roastside.core.session import Session
    from roastside.live.home import home
    from roastside.live.opening import load_reference
    from roastside.live.past import habits_of, recorded_habits

    plan = _plan(chosen)
    reference = load_reference(Path(chosen.reference)) if chosen.reference else None
    if recording is not None:
        plan = replace(plan, habits=recorded_habits(recording, reference))
    elif reference is not None:
        plan = replace(plan, habits=habits_of(reference, home() / "recordings"))
    return Session(plan, reference)


def _plan(chosen: argparse.Namespace) -> RoastPlan:
    from dataclasses import replace

    from roastside.core.plan import Align
    from roastside.live.settings import load_settings

    usual = load_settings().plan
    development_s, development_ratio = chosen.development
    return replace(
        usual,
        tolerance_c=usual.tolerance_c if chosen.tolerance is None else chosen.tolerance,
        tolerance_s=usual.tolerance_s if chosen.tolerance_s is None else chosen.tolerance_s,
        yellowing_c=chosen.yellowing,
        first_crack_c=chosen.first_crack,
        own_corridor=chosen.tolerance is None,
        development_s=development_s,
        development_ratio=development_ratio,
        align=Align(chosen.align),
        degrees=_display(chosen).degrees,
    )


def _display(chosen: argparse.Namespace) -> DisplaySettings:
    from roastside.live.settings import DisplaySettings, load_settings

    return DisplaySettings(chosen.unit) if chosen.unit else load_settings().display


def _replace_closed_streams() -> None:
    """See to it that no port or recording gets the number of a standard stream that was closed.

    What the system, or Python at its end, writes there would go into it.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number
    if sys.stderr is None:
        sys.stderr = Path(os.devnull).open("w")  # noqa: SIM115, for as long as the program
