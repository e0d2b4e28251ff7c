"""What a careful person standing beside you would say: the table of rules."""

from __future__ import annotations

from roastside.core import advice_words as words
from roastside.core.alerts import Rule, Situation
from roastside.core.events import Family, Priority
from roastside.core.measures import between, beyond, drifting, due, share, within
from roastside.core.plan import RoastPlan
from roastside.core.units import Degrees

# Delays are seconds, not the minute usual in process plants: a roast lasts ten minutes. The
# deadband is a quarter of the limit. Both are choices, not taken from a source.
_CLEAR_BELOW = 0.75
_CLEAR_DRIFT_BELOW = 0.5

_HALF = 0.5
"""Only a roast half way to the edge of its corridor is on its way out of it."""

_SAID_FOR_S = 120.0
"""An early word is not said again sooner: who heard it knows, and if it comes true that is said."""

_RATE_OFF_C_PER_MIN = 2.5
"""For the twenty seconds of its delay, this makes about half a corridor."""

# Beans past yellowing rise by 5 to 15 °C a minute (common practice, no source); twice the most of
# that is no roast any more.
_RUNAWAY_C_PER_MIN = 30.0
_RUNAWAY_FROM_C = 160.0

# Half a kilo in a quick roaster may rise by 35 °C a minute all the way (no source), and beside a
# reference that did so too nobody is to be told of a fire. Never beyond the most.
_RUNAWAY_ABOVE_REFERENCE = 10.0
_RUNAWAY_AT_MOST = 50.0

_READY_C = 3.0
_CHARGED_OFF_C = 6.0
_CUE_NOTICE_S = 15.0
_CRACK_OVERDUE_C = 3.0
_DROP_MISSED_S = 30.0

# Roasted beans are cool to the hand within about four minutes (common practice, no source).
_COOLED_S = 240.0
_COOLING_FORGOTTEN_S = 420.0

_NO_COURSE = ("probe_open", "probe_silent", "probe_stuck", "probes_swapped", "wrong_unit")
"""While one of these stands the readings say nothing about the course of the roast."""

_ALWAYS = (Family.SAFETY, Family.RECORDING)


def can_be_off(rule: Rule) -> bool:
    """Whether a setting may turn it off: not safety, not the recording, not the loss of a probe."""
    lost = rule.family is Family.PROBE and rule.priority is Priority.HIGH
    return rule.family not in _ALWAYS and not lost


def rules_for(plan: RoastPlan) -> tuple[Rule, ...]:
    """The rules in order of weight; what yields to another stands below it.

    Those a person has turned off are left out, but never those of safety.
    """
    return tuple(
        rule for rule in all_rules(plan) if rule.alert not in plan.rules_off or not can_be_off(rule)
    )


def all_rules(plan: RoastPlan) -> tuple[Rule, ...]:
    """The whole table."""
    degrees = plan.degrees
    return (
        Rule(
            "over_temperature",
            Family.SAFETY,
            Priority.CRITICAL,
            measure=lambda now: share(now.bean_c, plan.over_temperature_c),
            message=lambda now: words.over_temperature(degrees, now),
            on_delay_s=1.0,
            off_delay_s=5.0,
            clear_below=0.98,
        ),
        Rule(
            "runaway_rise",
            Family.SAFETY,
            Priority.CRITICAL,
            measure=_runaway,
            message=lambda now: words.runaway(degrees, now),
            on_delay_s=3.0,
            off_delay_s=10.0,
            clear_below=0.7,
            yields_to=("over_temperature",),
        ),
        Rule(
            "recording_not_stored",
            Family.RECORDING,
            Priority.HIGH,
            measure=lambda now: 1.0 if now.store_fault else None,
            message=lambda now: now.store_fault,
        ),
        _probe_rule("probe_open", Priority.HIGH, off_delay_s=5.0),
        Rule(
            "probe_silent",
            Family.PROBE,
            Priority.HIGH,
            # After the drop the probe may be put away.
            measure=lambda now: (
                None if now.dropped_s is not None else now.silent_s / now.silent_after_s
            ),
            message=words.silent,
            yields_to=("probe_open",),
        ),
        _probe_rule("probe_stuck", Priority.HIGH, yields_to=("probe_open", "probe_silent")),
        _probe_rule("probes_swapped", Priority.MEDIUM),
        _probe_rule("wrong_unit", Priority.MEDIUM),
        Rule(
            "drop_missed",
            Family.TIMING,
            Priority.HIGH,
            measure=lambda now: due(now.development_left_s, -_DROP_MISSED_S),
            message=words.drop_missed,
        ),
        Rule(
            "development_target",
            Family.TIMING,
            Priority.HIGH,
            measure=lambda now: due(now.development_left_s, 0.0),
            message=lambda now: "drop now: development target reached",
            yields_to=("drop_missed",),
        ),
        Rule(
            "development_target_soon",
            Family.TIMING,
            Priority.MEDIUM,
            measure=lambda now: due(now.development_left_s, plan.development_notice_s),
            message=words.target_soon,
            yields_to=("drop_missed", "development_target"),
        ),
        *_course_rules(plan),
        Rule(
            "charge_temperature_off",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: (
                None if now.charged_off_c is None else abs(now.charged_off_c) / _CHARGED_OFF_C
            ),
            message=lambda now: words.charged_off(degrees, now),
            clear_below=0.0,
        ),
        Rule(
            "ready_to_charge",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: within(now.ready_c, _READY_C),
            message=lambda now: words.ready(degrees, now),
            on_delay_s=10.0,
            off_delay_s=5.0,
            clear_below=0.5,
        ),
        Rule(
            "cue_soon",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: due(now.cue_in_s, _CUE_NOTICE_S),
            message=words.cue,
            held_by=_NO_COURSE,
        ),
        Rule(
            "first_crack_overdue",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: share(now.crack_past_c, _CRACK_OVERDUE_C),
            message=lambda now: words.crack_overdue(degrees, now),
            on_delay_s=2.0,
            clear_below=0.5,
            held_by=_NO_COURSE,
        ),
        Rule(
            "first_crack_soon",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: due(now.first_crack_in_s, plan.first_crack_notice_s),
            message=words.crack_soon,
            # The forecast moves by a few seconds; the notice is not taken back for that.
            clear_below=0.0,
            yields_to=("first_crack_overdue",),
            held_by=_NO_COURSE,
        ),
        Rule(
            "cooling_overdue",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: between(now.dropped_s, _COOLED_S, _COOLING_FORGOTTEN_S),
            message=lambda now: "look at the cooling tray: the beans should be cool by now",
        ),
        _probe_rule("slow_sampling", Priority.LOW, off_delay_s=10.0),
        _probe_rule(
            "unsteady_sampling", Priority.LOW, off_delay_s=10.0, yields_to=("slow_sampling",)
        ),
        # Spikes come by chance, so a minute without one is no proof yet that they are over.
        _probe_rule("spikes", Priority.LOW, off_delay_s=120.0, yields_to=("probe_open",)),
    )


def _course_rules(plan: RoastPlan) -> tuple[Rule, ...]:
    """Off the corridor, leaving it, too slow or too fast: the gravest of one side speaks."""
    beside = (("low", "below", -1.0), ("high", "above", 1.0))
    return (
        *(_off_rule(plan, side, where, sign) for side, where, sign in beside),
        *(_leaving_rule(plan, side, where, sign) for side, where, sign in beside),
        _pace_rule(plan, "behind_reference", -1.0, "a little more heat", "below_reference"),
        _pace_rule(plan, "ahead_of_reference", 1.0, "a little less heat", "above_reference"),
        *(_rate_rule(plan, side, sign) for side, _, sign in beside),
        *_shape_rules(plan.degrees),
    )


def _shape_rules(degrees: Degrees) -> tuple[Rule, ...]:
    """What the rate goes through by itself. `shape` has its own delays and deadbands."""
    return (
        Rule(
            "stall",
            Family.TIMING,
            Priority.MEDIUM,
            measure=lambda now: None if now.stall is None else 1.0,
            message=lambda now: words.stall(degrees, now),
            # Beans that fall out stand still for a moment too, before the drop is found.
            on_delay_s=10.0,
            off_delay_s=5.0,
            yields_to=("below_reference",),
            held_by=_NO_COURSE,
        ),
        Rule(
            "sudden_fall",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: None if now.sudden_fall is None else 1.0,
            message=lambda now: words.sudden_fall(degrees, now.sudden_fall),
            off_delay_s=5.0,
            yields_to=("stall",),
            held_by=_NO_COURSE,
        ),
        Rule(
            "rebound",
            Family.TIMING,
            Priority.LOW,
            measure=lambda now: None if now.rebound is None else 1.0,
            message=lambda now: words.rebound(degrees, now.rebound),
            off_delay_s=5.0,
            held_by=_NO_COURSE,
        ),
    )


def _tolerance_c(plan: RoastPlan, now: Situation) -> float:
    """Half the width of the corridor at this moment."""
    return plan.tolerance_c if now.tolerance_c is None else now.tolerance_c


def _off_rule(plan: RoastPlan, side: str, where: str, sign: float) -> Rule:
    return Rule(
        f"{where}_reference",
        Family.DEVIATION,
        Priority.MEDIUM,
        measure=lambda now: beyond(now, now.deviation_c, sign * _tolerance_c(plan, now)),
        message=lambda now: words.off_course(plan.degrees, now, side),
        on_delay_s=2.0,
        off_delay_s=5.0,
        clear_below=_CLEAR_BELOW,
        held_by=_NO_COURSE,
    )


def _leaving_rule(plan: RoastPlan, side: str, where: str, sign: float) -> Rule:
    return Rule(
        f"leaving_{side}",
        Family.DEVIATION,
        Priority.LOW,
        measure=lambda now: drifting(now, sign * _tolerance_c(plan, now), _HALF),
        message=lambda now: words.leaving(plan.degrees, now, side),
        on_delay_s=4.0,
        off_delay_s=10.0,
        again_after_s=_SAID_FOR_S,
        clear_below=_CLEAR_DRIFT_BELOW,
        yields_to=(f"{where}_reference",),
        held_by=_NO_COURSE,
    )


def _pace_rule(plan: RoastPlan, alert: str, sign: float, advice: str, graver: str) -> Rule:
    side = "low" if sign < 0.0 else "high"
    return Rule(
        alert,
        Family.TIMING,
        Priority.LOW,
        measure=lambda now: beyond(now, now.surely_ahead_s, sign * plan.tolerance_s),
        message=lambda now: f"{advice}: {words.pace(plan.degrees, now)}",
        on_delay_s=5.0,
        off_delay_s=5.0,
        clear_below=_CLEAR_BELOW,
        yields_to=(graver, f"leaving_{side}"),
        held_by=_NO_COURSE,
    )


def _rate_rule(plan: RoastPlan, side: str, sign: float) -> Rule:
    where, pace = ("below", "behind") if side == "low" else ("above", "ahead_of")
    return Rule(
        f"rate_{side}",
        Family.DEVIATION,
        Priority.LOW,
        measure=lambda now: beyond(now, now.rate_off_c_per_min, sign * _RATE_OFF_C_PER_MIN),
        message=lambda now: words.rate_off(plan.degrees, now, side),
        on_delay_s=20.0,
        off_delay_s=10.0,
        again_after_s=_SAID_FOR_S,
        clear_below=_CLEAR_DRIFT_BELOW,
        yields_to=(f"{where}_reference", f"leaving_{side}", f"{pace}_reference"),
        held_by=_NO_COURSE,
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


def _runaway(now: Situation) -> float | None:
    rate, sd = now.rate_c_per_min, now.rate_sd
    if not now.on_course or now.bean_c is None or rate is None or sd is None:
        return None
    usual = (now.expected_rate_c_per_min or 0.0) + _RUNAWAY_ABOVE_REFERENCE
    limit = min(max(_RUNAWAY_C_PER_MIN, usual), _RUNAWAY_AT_MOST)
    return (rate - 2.0 * sd) / limit if now.bean_c >= _RUNAWAY_FROM_C else 0.0
