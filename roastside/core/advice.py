"""What a careful person standing beside you would say: the table of rules."""

from __future__ import annotations

from math import nan

from roastside.core.alerts import Rule, Situation
from roastside.core.events import Family, Priority
from roastside.core.plan import RoastPlan
from roastside.core.units import Degrees

# Delays are seconds, not the minute usual in process plants: a roast lasts ten minutes. The
# deadband is a quarter of the limit. Both are choices, not taken from a source.
_CLEAR_BELOW = 0.75

_NO_COURSE = ("probe_open", "probe_silent", "probe_stuck", "probes_swapped", "wrong_unit")
"""While one of these stands the readings say nothing about the course of the roast."""


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
                f"cut the heat, look at the beans, fire risk: "
                f"bean probe at {_temperature(plan.degrees, now.bean_c)}"
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
        _probe_rule("probe_open", Priority.HIGH),
        Rule(
            "probe_silent",
            Family.PROBE,
            Priority.HIGH,
            measure=lambda now: now.silent_s / now.silent_after_s,
            message=lambda now: (
                "check the probe, roast by eye and ear: no bean reading for "
                f"{now.silent_s:.0f} seconds"
            ),
            yields_to=("probe_open",),
        ),
        _probe_rule("probe_stuck", Priority.HIGH, yields_to=("probe_open", "probe_silent")),
        _probe_rule("probes_swapped", Priority.MEDIUM),
        _probe_rule("wrong_unit", Priority.MEDIUM),
        Rule(
            "development_target",
            Family.TIMING,
            Priority.HIGH,
            measure=lambda now: _due(now.development_left_s, 0.0),
            message=lambda now: "drop now: development target reached",
        ),
        Rule(
            "development_target_soon",
            Family.TIMING,
            Priority.MEDIUM,
            measure=lambda now: _due(now.development_left_s, plan.development_notice_s),
            message=lambda now: (
                "come and drop: development target in "
                f"{max(now.development_left_s or 0.0, 0.0):.0f} seconds"
            ),
            yields_to=("development_target",),
        ),
        Rule(
            "below_reference",
            Family.DEVIATION,
            Priority.MEDIUM,
            measure=lambda now: _beyond(now, now.deviation_c, -plan.tolerance_c),
            message=lambda now: _off_course(plan.degrees, now, "low"),
            on_delay_s=2.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            held_by=_NO_COURSE,
        ),
        Rule(
            "above_reference",
            Family.DEVIATION,
            Priority.MEDIUM,
            measure=lambda now: _beyond(now, now.deviation_c, plan.tolerance_c),
            message=lambda now: _off_course(plan.degrees, now, "high"),
            on_delay_s=2.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            held_by=_NO_COURSE,
        ),
        Rule(
            "behind_reference",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: _beyond(now, now.ahead_s, -plan.tolerance_s),
            message=lambda now: f"a little more heat: {_pace(plan.degrees, now)}",
            on_delay_s=5.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            yields_to=("below_reference",),
            held_by=_NO_COURSE,
        ),
        Rule(
            "ahead_of_reference",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: _beyond(now, now.ahead_s, plan.tolerance_s),
            message=lambda now: f"a little less heat: {_pace(plan.degrees, now)}",
            on_delay_s=5.0,
            off_delay_s=5.0,
            clear_below=_CLEAR_BELOW,
            yields_to=("above_reference",),
            held_by=_NO_COURSE,
        ),
        Rule(
            "first_crack_soon",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: _due(now.first_crack_in_s, plan.first_crack_notice_s),
            message=lambda now: (
                "listen for first crack: expected in "
                f"{max(now.first_crack_in_s or 0.0, 0.0):.0f} seconds"
            ),
            # The forecast moves by a few seconds; the notice is not taken back for that.
            clear_below=0.0,
            held_by=_NO_COURSE,
        ),
        _probe_rule("slow_sampling", Priority.LOW, off_delay_s=10.0),
        _probe_rule(
            "unsteady_sampling", Priority.LOW, off_delay_s=10.0, yields_to=("slow_sampling",)
        ),
        # Spikes come by chance, so a minute without one is no proof yet that they are over.
        _probe_rule("spikes", Priority.LOW, off_delay_s=120.0, yields_to=("probe_open",)),
    )


def _probe_rule(
    alert: str, priority: Priority, off_delay_s: float = 0.0, yields_to: tuple[str, ...] = ()
) -> Rule:
    """A fault of the probes: found, and put into words, by `trust`."""
    return Rule(
        alert,
        Family.PROBE,
        priority,
        measure=lambda now: 1.0 if alert in now.faults else None,
        message=lambda now: now.faults.get(alert, ""),
        off_delay_s=off_delay_s,
        yields_to=yields_to,
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


def _off_course(degrees: Degrees, now: Situation, side: str) -> str:
    heat = "more" if side == "low" else "less"
    off = abs(degrees.difference(now.deviation_c) or 0.0)
    return f"{heat} heat: {off:.1f} {degrees.unit} {side}, {_pace(degrees, now)}"


def _pace(degrees: Degrees, now: Situation) -> str:
    parts = []
    if now.ahead_s is not None:
        where = "ahead" if now.ahead_s > 0.0 else "behind"
        parts.append(f"{abs(now.ahead_s):.0f} seconds {where}")
    rate = degrees.difference(now.rate_c_per_min)
    if rate is not None:
        parts.append(f"rate {rate:.1f}")
    return ", ".join(parts) or "pace unknown"


def _temperature(degrees: Degrees, value_c: float | None) -> str:
    value = degrees.temperature(value_c)
    return "unknown" if value is None else f"{value:.0f} {degrees.unit}"
