"""The table of rules: what is said, when, and that it always says what to do."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from roastside.core.advice import rules_for
from roastside.core.advice_words import crack_soon
from roastside.core.alerts import Alerts, Situation
from roastside.core.events import Alert, AlertState
from roastside.core.findings import Finding, FindingKind
from roastside.core.plan import RoastPlan
from tests.core.roasts import CALM

PLAN = RoastPlan()

# Contract 4: ids are stable, since scripts and settings name them. Family and priority of each.
TABLE = {
    "over_temperature": ("safety", "critical"),
    "recording_not_stored": ("recording", "high"),
    "probe_open": ("probe", "high"),
    "probe_silent": ("probe", "high"),
    "probe_stuck": ("probe", "high"),
    "probes_swapped": ("probe", "medium"),
    "wrong_unit": ("probe", "medium"),
    "slow_sampling": ("probe", "low"),
    "unsteady_sampling": ("probe", "low"),
    "spikes": ("probe", "low"),
    "development_target": ("timing", "high"),
    "development_target_soon": ("timing", "medium"),
    "below_reference": ("deviation", "medium"),
    "above_reference": ("deviation", "medium"),
    "behind_reference": ("timing", "low"),
    "ahead_of_reference": ("timing", "low"),
    "first_crack_soon": ("timing", "low"),
    "runaway_rise": ("safety", "critical"),
    "drop_missed": ("timing", "high"),
    "leaving_low": ("deviation", "low"),
    "leaving_high": ("deviation", "low"),
    "rate_low": ("deviation", "low"),
    "rate_high": ("deviation", "low"),
    "charge_temperature_off": ("timing", "low"),
    "ready_to_charge": ("timing", "low"),
    "cue_soon": ("timing", "low"),
    "first_crack_overdue": ("timing", "low"),
    "cooling_overdue": ("timing", "low"),
    "stall": ("timing", "medium"),
    "sudden_fall": ("timing", "low"),
    "rebound": ("timing", "low"),
}

# A situation that raises each, and words by which its message tells a person what to do.
CAUSES: dict[str, tuple[dict[str, object], str]] = {
    "over_temperature": ({"bean_c": 241.0}, "cut the heat"),
    "recording_not_stored": ({"store_fault": "disk full: free some space"}, "free some space"),
    "probe_silent": ({"silent_s": 4.0}, "check the probe"),
    **{
        alert: ({"faults": {alert: f"do this: {alert}"}}, f"do this: {alert}")
        for alert in (
            "probe_open",
            "probe_stuck",
            "probes_swapped",
            "wrong_unit",
            "slow_sampling",
            "unsteady_sampling",
            "spikes",
        )
    },
    "development_target": ({"development_left_s": -0.5}, "drop now"),
    "development_target_soon": ({"development_left_s": 9.0}, "come and drop"),
    "below_reference": ({"deviation_c": -2.5, "ahead_s": -11.0}, "more heat"),
    "above_reference": ({"deviation_c": 2.5, "ahead_s": 11.0}, "less heat"),
    "behind_reference": ({"ahead_s": -11.0}, "a little more heat"),
    "ahead_of_reference": ({"ahead_s": 11.0}, "a little less heat"),
    "first_crack_soon": ({"first_crack_in_s": 25.0}, "listen for first crack"),
    "runaway_rise": (
        {"bean_c": 190.0, "rate_c_per_min": 45.0, "rate_sd": 2.0},
        "cut the heat",
    ),
    "drop_missed": ({"development_left_s": -31.0}, "drop now"),
    "leaving_low": ({"deviation_c": -1.2, "leaving_c": -3.0}, "more heat"),
    "leaving_high": ({"deviation_c": 1.2, "leaving_c": 3.0}, "less heat"),
    "rate_low": ({"rate_off_c_per_min": -3.0}, "look at heat and air"),
    "rate_high": ({"rate_off_c_per_min": 3.0}, "look at heat and air"),
    "charge_temperature_off": ({"charged_off_c": -9.0}, "watch the start"),
    "ready_to_charge": ({"ready_c": 1.0}, "charge"),
    "cue_soon": ({"cue_in_s": 12.0, "cue": "heat to 70 %"}, "heat to 70 %"),
    "first_crack_overdue": ({"crack_past_c": 4.0}, "listen"),
    "cooling_overdue": ({"dropped_s": 250.0}, "cooling tray"),
    "stall": ({"stall": Finding(FindingKind.STALL, 300.0, 325.0, 1.2)}, "more heat"),
    "sudden_fall": (
        {"sudden_fall": Finding(FindingKind.SUDDEN_FALL, 300.0, 325.0, 3.1)},
        "more heat",
    ),
    "rebound": ({"rebound": Finding(FindingKind.REBOUND, 300.0, 325.0, 2.1)}, "less heat"),
}


def lasting(changes: dict[str, object], seconds: int = 30) -> list[Alert]:
    """Everything told while a situation lasts, one look a second."""
    alerts = Alerts(rules_for(PLAN))
    now = replace(CALM, **changes)  # type: ignore[arg-type]
    return [a for k in range(seconds) for a in alerts.update(replace(now, time_s=float(k)))]


def test_the_ids_families_and_priorities_are_those_that_were_promised() -> None:
    rules = rules_for(PLAN)
    assert {r.alert: (str(r.family), str(r.priority)) for r in rules} == TABLE
    assert len(rules) == len(TABLE)


def test_a_cause_stands_in_the_table_before_what_hangs_on_it() -> None:
    order = [r.alert for r in rules_for(PLAN)]
    for r in rules_for(PLAN):
        for cause in r.yields_to + r.held_by:
            assert order.index(cause) < order.index(r.alert)


@pytest.mark.parametrize("alert", TABLE)
def test_every_alert_is_raised_by_its_cause_alone_and_names_an_action(alert: str) -> None:
    changes, action = CAUSES[alert]
    told = lasting(changes)
    assert [(a.alert, str(a.state)) for a in told] == [(alert, "raised")]
    assert action in told[0].message


def test_when_nothing_is_wrong_nothing_is_said() -> None:
    assert lasting({}) == []
    assert lasting({"deviation_c": 1.9, "ahead_s": -9.0, "bean_c": 235.0, "silent_s": 2.9}) == []


@pytest.mark.parametrize(
    ("alert", "delay_s"),
    [
        ("over_temperature", 1.0),
        ("below_reference", 2.0),
        ("above_reference", 2.0),
        ("behind_reference", 5.0),
        ("ahead_of_reference", 5.0),
        ("probe_silent", 0.0),
        ("development_target", 0.0),
        ("recording_not_stored", 0.0),
    ],
)
def test_it_waits_as_long_as_the_rule_says(alert: str, delay_s: float) -> None:
    assert lasting(CAUSES[alert][0])[0].time_s == delay_s


def test_off_course_is_no_fault_before_the_turning_point_and_after_the_drop() -> None:
    assert lasting({"on_course": False, "deviation_c": -40.0, "ahead_s": -60.0}) == []


def test_past_the_references_end_a_standing_deviation_neither_clears_nor_comes() -> None:
    alerts = Alerts(rules_for(PLAN))
    off = replace(CALM, deviation_c=-3.0)
    for k in range(5):
        alerts.update(replace(off, time_s=float(k)))
    assert alerts.counts == {"below_reference": 1}
    unknown = replace(CALM, deviation_c=None, ahead_s=None)
    assert all(alerts.update(replace(unknown, time_s=5.0 + k)) == [] for k in range(30))


def test_while_the_probe_is_silent_nothing_is_said_about_the_course() -> None:
    told = lasting({"silent_s": 4.0, "deviation_c": -5.0, "ahead_s": -20.0})
    assert [a.alert for a in told] == ["probe_silent"]


def test_degrees_and_seconds_off_are_one_cause_told_once() -> None:
    told = lasting({"deviation_c": 3.0, "ahead_s": 15.0}, seconds=60)
    assert [a.alert for a in told] == ["above_reference"]


def test_the_notice_of_first_crack_is_not_taken_back_when_the_forecast_wavers() -> None:
    alerts = Alerts(rules_for(PLAN))
    told: list[Alert] = []
    for k, in_s in enumerate((31.0, 29.0, 33.0, 28.0, 31.0)):
        told += alerts.update(replace(CALM, time_s=float(k), first_crack_in_s=in_s))
    assert [str(a.state) for a in told] == ["raised"]
    told += alerts.update(replace(CALM, time_s=9.0, first_crack_in_s=None))
    assert [str(a.state) for a in told] == ["raised", "cleared"]


def test_the_notice_of_the_target_gives_way_to_the_target() -> None:
    alerts = Alerts(rules_for(PLAN))
    told: list[Alert] = []
    for k in range(14):
        told += alerts.update(replace(CALM, time_s=float(k), development_left_s=12.0 - k))
    assert [(a.time_s, a.alert, str(a.state)) for a in told] == [
        (2.0, "development_target_soon", "raised"),
        (12.0, "development_target", "raised"),
        (12.0, "development_target_soon", "cleared"),
    ]


@pytest.mark.parametrize("field", ["deviation_c", "ahead_s"])
@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_noise_around_the_limit_does_not_chatter(field: str, side: float) -> None:
    limit = PLAN.tolerance_c if field == "deviation_c" else PLAN.tolerance_s
    random = Random(3)
    alerts = Alerts(rules_for(PLAN))
    told: list[Alert] = []
    for k in range(1200):
        shaken = side * limit * (1.0 + random.gauss(0.0, 0.1))
        now = replace(CALM, time_s=k * 0.5, **{field: shaken})  # type: ignore[arg-type]
        told += alerts.update(now)
    raised = [a for a in told if a.state is AlertState.RAISED]
    # ANSI/ISA-18.2 calls three in a minute chatter; here ten minutes bring at most one.
    assert len(raised) <= 1


@pytest.mark.parametrize("alert", ["below_reference", "behind_reference"])
def test_messages_survive_what_is_not_known(alert: str) -> None:
    changes = {**CAUSES[alert][0], "rate_c_per_min": None}
    assert lasting(changes)[0].message


def test_tolerances_come_from_the_plan() -> None:
    wide = Alerts(rules_for(RoastPlan(tolerance_c=5.0, tolerance_s=30.0)))
    now: Situation = replace(CALM, deviation_c=-4.0, ahead_s=-25.0)
    assert all(wide.update(replace(now, time_s=float(k))) == [] for k in range(30))


@pytest.mark.parametrize("fault", ["probe_open", "probe_stuck", "probes_swapped", "wrong_unit"])
def test_what_a_faulty_probe_says_is_no_reason_to_turn_the_heat(fault: str) -> None:
    told = lasting(
        {"faults": {fault: "check it"}, "deviation_c": -9.0, "ahead_s": -60.0, "silent_s": 0.0}
    )
    assert [a.alert for a in told] == [fault]


def test_an_open_probe_is_told_once_and_not_as_silence_or_spikes_too() -> None:
    faults = {"probe_open": "check it", "probe_stuck": "check it", "spikes": "move it"}
    told = lasting({"faults": faults, "silent_s": 9.0})
    assert [a.alert for a in told] == ["probe_open"]


def test_spikes_are_over_only_after_two_minutes_without_and_their_words_stay() -> None:
    alerts = Alerts(rules_for(PLAN))
    spiky = replace(CALM, faults={"spikes": "move the wires: 2 % spikes"})
    told: list[Alert] = alerts.update(spiky)
    for k in range(1, 130):
        calm = replace(CALM, time_s=float(k))
        told += alerts.update(calm)
        if k == 60:
            (standing,) = alerts.standing(calm)
            assert standing.message == "move the wires: 2 % spikes"
    assert [(a.time_s, str(a.state)) for a in told] == [(0.0, "raised"), (121.0, "cleared")]


@pytest.mark.parametrize(
    ("in_s", "told"), [(25.2, "in 25 seconds"), (0.6, "in 1 second"), (0.4, "now"), (-8.0, "now")]
)
def test_what_was_expected_and_did_not_come_is_expected_now(in_s: float, told: str) -> None:
    assert crack_soon(replace(CALM, first_crack_in_s=in_s)).endswith(f"expected {told}")


@pytest.mark.parametrize(
    ("expected", "rate", "told"),
    [
        (None, 33.0, True),
        (12.0, 33.0, True),
        (34.0, 37.0, False),
        (34.0, 46.0, True),
        (80.0, 52.0, True),
    ],
)
def test_a_rise_as_fast_as_its_references_is_no_fire(
    expected: float | None, rate: float, told: bool
) -> None:
    rising = {"bean_c": 190.0, "rate_c_per_min": rate, "rate_sd": 0.5}
    alerts = lasting({**rising, "expected_rate_c_per_min": expected})
    assert [a.alert for a in alerts] == ["runaway_rise"] * told


@pytest.mark.parametrize(("sd_s", "said"), [(None, True), (0.5, True), (3.0, False)])
def test_ahead_is_said_only_if_it_surely_is_so(sd_s: float | None, said: bool) -> None:
    told = lasting({"ahead_s": 12.0, "ahead_sd_s": sd_s})
    assert [a.alert for a in told] == ["ahead_of_reference"] * said
