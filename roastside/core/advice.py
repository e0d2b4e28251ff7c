"""What a careful person standing beside you would say: the table of rules."""

from __future__ import annotations

from math import nan

from roastside.core.alerts import Rule, Situation
from roastside.core.events import Family, Priority
from roastside.core.plan import RoastPlan

# Delays are seconds, not the minute usual in process plants: a roast lasts ten minutes. The
# deadband is a quarter of the limit. Both are choices, not taken from a source.
_CLEAR_BELOW = 0.75


def rules_for(plan: RoastPlan) -> tuple[Rule, ...]:
    """The rules in order of weight; what yields to another stands below it."""
    return (
        Rule(
            "over_temperature",
            Family.SAFETY,
            Priority.CRITICAL,
            measure=lambda now: (
                None if now.bean_c is None else now.bean_c / plan.over_temperature_c
            ),
            message=lambda now: (
                f"bean probe at {now.bean_c:.0f} °C: cut the heat, look at the beans, fire risk"
            ),
            on_delay_s=1.0,
            off_delay_s=5.0,
            clear_below=0.98,
        ),
        Rule(
            "recording_not_stored",
            Family.RECORDING,
            Priority.HIGH,
            measure=lambda now: 1.0 if now.store_fault else None,
            message=lambda now: now.store_fault,
        ),
        Rule(
            "probe_silent",
            Family.PROBE,
            Priority.HIGH,
            measure=lambda now: now.silent_s / now.silent_after_s,
            message=lambda now: (
                f"no bean reading for {now.silent_s:.0f} seconds: check the probe, "
                "roast by eye and ear"
            ),
        ),
        Rule(
            "development_target",
            Family.TIMING,
            Priority.HIGH,
            measure=lambda now: _due(now.development_left_s, 0.0),
            message=lambda now: "development target reached: drop now",
        ),
        Rule(
            "development_target_soon",
            Family.TIMING,
            Priority.MEDIUM,
            measure=lambda now: _due(now.development_left_s, plan.development_notice_s),
            message=lambda now: (
                f"development target in {max(now.development_left_s or 0.0, 0.0):.0f} seconds: "
                "come and drop"
            ),
            yields_to=("development_target",),
        ),
        Rule(
            "below_reference",
            Family.DEVIATION,
            Priority.MEDIUM,
            measure=lambda now: _beyond(now, now.deviation_c, -plan.tolerance_c),
            message=lambda now: _off_course(now, "low"),
            on_delay_s=2.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            held_by=("probe_silent",),
        ),
        Rule(
            "above_reference",
            Family.DEVIATION,
            Priority.MEDIUM,
            measure=lambda now: _beyond(now, now.deviation_c, plan.tolerance_c),
            message=lambda now: _off_course(now, "high"),
            on_delay_s=2.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            held_by=("probe_silent",),
        ),
        Rule(
            "behind_reference",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: _beyond(now, now.ahead_s, -plan.tolerance_s),
            message=lambda now: f"{_pace(now)}: a little more heat",
            on_delay_s=5.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            yields_to=("below_reference",),
            held_by=("probe_silent",),
        ),
        Rule(
            "ahead_of_reference",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: _beyond(now, now.ahead_s, plan.tolerance_s),
            message=lambda now: f"{_pace(now)}: a little less heat",
            on_delay_s=5.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            yields_to=("above_reference",),
            held_by=("probe_silent",),
        ),
        Rule(
            "first_crack_soon",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: _due(now.first_crack_in_s, plan.first_crack_notice_s),
            message=lambda now: (
                f"first crack expected in {max(now.first_crack_in_s or 0.0, 0.0):.0f} seconds: "
                "listen for it"
            ),
            # The forecast moves by a few seconds; the notice is not taken back for that.
            clear_below=0.0,
            held_by=("probe_silent",),
        ),
    )


def _due(left_s: float | None, notice_s: float) -> float | None:
    """1 from `notice_s` before the moment on."""
    if left_s is None:
        return None
    return 1.0 if left_s <= notice_s else 0.0


def _beyond(now: Situation, value: float | None, limit: float) -> float | None:
    """The value as a share of a signed limit, while beans are roasting past the turning point.

    A value not known there (past the end of the reference, say) is no evidence either way: NaN
    is neither beyond a limit nor back inside it.
    """
    if not now.on_course:
        return None
    return nan if value is None else value / limit


def _off_course(now: Situation, side: str) -> str:
    off = f"{abs(now.deviation_c or 0.0):.1f} degrees {side}"
    return f"{off}, {_pace(now)}: {'more' if side == 'low' else 'less'} heat"


def _pace(now: Situation) -> str:
    parts = []
    if now.ahead_s is not None:
        where = "ahead" if now.ahead_s > 0.0 else "behind"
        parts.append(f"{abs(now.ahead_s):.0f} seconds {where}")
    if now.rate_c_per_min is not None:
        parts.append(f"rate {now.rate_c_per_min:.1f}")
    return ", ".join(parts) or "pace unknown"
