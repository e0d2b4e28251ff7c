"""The ways a roast can begin from the app: each gives one that is opened, not yet started."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from roastside.core.plan import RoastPlan, development_target
from roastside.core.session import Session
from roastside.live.demo import DEMO_SPEED, demo_session, demo_source
from roastside.live.home import new_recording
from roastside.live.opening import load_reference, new_recorder, serial_source
from roastside.live.roast import LiveRoast
from roastside.probes.replay import ReplaySource

REPLAY_SPEED = 10.0
DEFAULT_BAUD = 9600


def plan_with_development(text: str) -> RoastPlan:
    """A plan with a development target as people write it. Raises UsageError."""
    development_s, development_ratio = development_target(text) if text else (None, None)
    return RoastPlan(development_s=development_s, development_ratio=development_ratio)


def practice_roast() -> LiveRoast:
    """The demo. Raises ProbeError if this machine has no line for it."""
    return _opened(LiveRoast(demo_source(DEMO_SPEED), demo_session(RoastPlan())))


def replayed_roast(path: Path) -> LiveRoast:
    """A recording played again, faster than life. Raises RecordError."""
    return _opened(LiveRoast(ReplaySource(path, REPLAY_SPEED), Session()))


def listened_roast(port: str, wire: str, reference: str, plan: RoastPlan) -> LiveRoast:
    """A probe on a serial line, recorded. Raises UsageError, ProbeError, RecordError, StoreError.

    `reference` is the path of a roast file, or empty.
    """
    held_against = load_reference(Path(reference)) if reference else None
    source = serial_source(port, wire or "lines", DEFAULT_BAUD)
    started_at = datetime.now()
    path = new_recording(started_at)
    recorder = new_recorder(path, started_at, path.stem, held_against)
    return _opened(LiveRoast(source, Session(plan, held_against), recorder))


def _opened(roast: LiveRoast) -> LiveRoast:
    roast.open()
    return roast
