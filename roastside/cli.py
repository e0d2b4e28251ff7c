"""The command line: what each command does, and where every trouble ends."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from roastside.arguments import parser
from roastside.core.errors import RoastsideError, UsageError
from roastside.core.text import clean

if TYPE_CHECKING:
    from roastside.core.plan import RoastPlan
    from roastside.core.session import Session
    from roastside.probes.source import Source
    from roastside.record.recorder import Recorder


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; the exit code of contract 4."""
    _replace_closed_streams()
    commands = {"": _today, "replay": _replay, "listen": _listen, "follow": _follow, "demo": _demo}
    try:
        chosen = parser(commands).parse_args(arguments)
        return int(chosen.run(chosen))
    except RoastsideError as error:
        # Arguments and names of files may hold anything, escape sequences and line ends too.
        print(f"roastside: {clean(str(error), 2000)}", file=sys.stderr)
        return error.exit_code
    except KeyboardInterrupt:
        return 0


def _today(chosen: argparse.Namespace) -> int:
    _need_terminal()
    from roastside.app.app import open_today

    return open_today()


def _replay(chosen: argparse.Namespace) -> int:
    from roastside.probes.replay import ReplaySource

    speed = getattr(chosen, "speed", None if chosen.events else 1.0)
    return _follow_roast(chosen, ReplaySource(Path(chosen.file), speed), _session(chosen), None)


def _follow(chosen: argparse.Namespace) -> int:
    from roastside.probes.follow import FollowSource

    return _follow_roast(chosen, FollowSource(Path(chosen.file)), _session(chosen), None)


def _listen(chosen: argparse.Namespace) -> int:
    from roastside.live.home import new_recording
    from roastside.live.opening import new_recorder, serial_source

    session = _session(chosen)
    source = serial_source(chosen.port, chosen.wire, chosen.baud)
    started_at = datetime.now()
    recorder = None
    if chosen.record or not chosen.events:
        path = Path(chosen.record) if chosen.record else new_recording(started_at)
        recorder = new_recorder(path, started_at, path.stem, session.reference)
    return _follow_roast(chosen, source, session, recorder)


def _demo(chosen: argparse.Namespace) -> int:
    from roastside.live.demo import DEMO_SPEED, demo_session, demo_source

    session = demo_session(_plan(chosen))
    return _follow_roast(chosen, demo_source(None if chosen.events else DEMO_SPEED), session, None)


def _follow_roast(
    chosen: argparse.Namespace, source: Source, session: Session, recorder: Recorder | None
) -> int:
    if chosen.events:
        from roastside.live.headless import run_headless

        return run_headless(source, session, recorder)
    _need_terminal()
    from roastside.app.app import open_roast
    from roastside.core.units import Degrees

    return open_roast(source, session, recorder, Degrees(chosen.unit == "F"))


def _session(chosen: argparse.Namespace) -> Session:
    from roastside.core.session import Session
    from roastside.live.opening import load_reference

    reference = load_reference(Path(chosen.reference)) if chosen.reference else None
    return Session(_plan(chosen), reference)


def _plan(chosen: argparse.Namespace) -> RoastPlan:
    from roastside.core.plan import Align, RoastPlan

    development_s, development_ratio = chosen.development
    return RoastPlan(
        tolerance_c=chosen.tolerance,
        tolerance_s=chosen.tolerance_s,
        yellowing_c=chosen.yellowing,
        first_crack_c=chosen.first_crack,
        development_s=development_s,
        development_ratio=development_ratio,
        align=Align(chosen.align),
    )


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


def _need_terminal() -> None:
    if not all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout)):
        raise UsageError("the screen needs a terminal; add --events to run without one")
