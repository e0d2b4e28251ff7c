"""The ways a roast can begin from the app: each gives one that is opened, not yet started."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from functools import partial
from pathlib import Path
from types import MappingProxyType

from roastside.core.plan import RoastPlan, development_target
from roastside.core.session import Session
from roastside.live.demo import DEMO_SPEED, demo_session, demo_source
from roastside.live.home import home, new_recording
from roastside.live.line import Line
from roastside.live.opening import calibrated, load_reference, new_recorder, probe_source
from roastside.live.own_reference import own_reference
from roastside.live.past import habits_of, recorded_habits
from roastside.live.replay import Replay
from roastside.live.roast import LiveRoast
from roastside.live.settings import settings_or_usual
from roastside.live.under_way import note_under_way

REPLAY_SPEED = 10.0


def plan_with_development(text: str, usual: RoastPlan | None = None) -> RoastPlan:
    """A plan with a development target as people write it. Raises UsageError."""
    development_s, development_ratio = development_target(text) if text else (None, None)
    return replace(
        usual or RoastPlan(), development_s=development_s, development_ratio=development_ratio
    )


def practice_roast() -> LiveRoast:
    """The demo. Raises ProbeError if this machine has no line for it, UsageError of settings."""
    return _opened(LiveRoast(demo_source(DEMO_SPEED), demo_session(_usual_plan())))


def replayed_roast(path: Path) -> Replay:
    """A recording played again, faster than life, against what it was held against then.

    Raises RecordError, UsageError of settings.
    """
    reference = own_reference(path)
    plan = replace(_usual_plan(), habits=recorded_habits(path, reference))
    return Replay(path, Session(plan, reference), REPLAY_SPEED)


def listened_roast(
    line: Line,
    reference: str,
    development: str,
    facts: Mapping[str, str] = MappingProxyType({}),
) -> LiveRoast:
    """A probe on a serial line, recorded. Raises UsageError, ProbeError, RecordError, StoreError.

    `reference` is the path of a roast file, or empty; `development` a target, or empty; `facts`
    are header lines of the recording, see `start.roast_facts`.
    """
    settings, _ = settings_or_usual()
    plan = plan_with_development(development, settings.plan)
    held_against = load_reference(Path(reference)) if reference else None
    if held_against is not None:
        plan = replace(plan, habits=habits_of(held_against, home() / "recordings"))
    calibrations = settings.calibration
    source = calibrated(probe_source([line]), calibrations)
    started_at = datetime.now()
    path = new_recording(started_at)
    coffee = facts.get("coffee")
    title = f"{coffee}, {started_at:%Y-%m-%d %H:%M}" if coffee else path.stem
    recorder = new_recorder(
        path, started_at, title, held_against, calibrations, source, plan.habits, facts, True
    )
    note = partial(note_under_way, source=source, lines=[line], reference=reference, plan=plan)
    return _opened(LiveRoast(source, Session(plan, held_against), recorder, note=note))


def _usual_plan() -> RoastPlan:
    return settings_or_usual()[0].plan


def _opened(roast: LiveRoast) -> LiveRoast:
    roast.open()
    return roast
