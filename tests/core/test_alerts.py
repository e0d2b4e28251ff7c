"""The life of an alert: delays, deadband, one cause at a time."""

from __future__ import annotations

from dataclasses import replace
from math import nan

from roastside.core.alerts import Alerts, Rule
from roastside.core.events import Alert, Family, Priority
from tests.core.roasts import CALM


def rule(alert: str = "off", **changes: object) -> Rule:
    """A rule whose measure is the situation's deviation, in degrees."""
    plain = Rule(
        alert,
        Family.DEVIATION,
        Priority.LOW,
        measure=lambda now: now.deviation_c,
        message=lambda now: f"{now.deviation_c} off: act",
    )
    return replace(plain, **changes)  # type: ignore[arg-type]


def life(alerts: Alerts, measures: list[float | None]) -> list[tuple[float, str, str]]:
    """(time, alert, state) told while the deviation goes through `measures`, one a second."""
    told = []
    for k, measure in enumerate(measures):
        now = replace(CALM, time_s=float(k), elapsed_s=float(k), deviation_c=measure)
        told += [(a.time_s, a.alert, str(a.state)) for a in alerts.update(now)]
    return told


def test_without_delays_it_is_raised_at_the_limit_and_cleared_below_it() -> None:
    assert life(Alerts((rule(),)), [0.0, 0.99, 1.0, 3.0, 1.0, 0.9]) == [
        (2.0, "off", "raised"),
        (5.0, "off", "cleared"),
    ]


def test_it_is_raised_only_when_the_fault_lasted_its_delay() -> None:
    alerts = Alerts((rule(on_delay_s=3.0),))
    assert life(alerts, [2.0, 2.0, 2.0, 0.0, 2.0, 2.0, 2.0, 2.0]) == [(7.0, "off", "raised")]


def test_it_is_cleared_only_when_calm_lasted_its_delay() -> None:
    alerts = Alerts((rule(off_delay_s=3.0),))
    assert life(alerts, [2.0, 0.0, 0.0, 2.0, 0.0, 0.0, 0.0, 0.0]) == [
        (0.0, "off", "raised"),
        (7.0, "off", "cleared"),
    ]


def test_inside_the_deadband_nothing_changes() -> None:
    alerts = Alerts((rule(clear_below=0.75),))
    assert life(alerts, [0.8, 1.1, 0.8, 1.2, 0.76, 0.9, 0.74]) == [
        (1.0, "off", "raised"),
        (6.0, "off", "cleared"),
    ]
    assert life(Alerts((rule(clear_below=0.75),)), [0.8, 0.9, 0.99]) == []


def test_an_unknown_measure_is_over_but_no_evidence_changes_nothing() -> None:
    assert life(Alerts((rule(),)), [2.0, None])[-1] == (1.0, "off", "cleared")
    assert life(Alerts((rule(),)), [2.0, nan, nan, 2.0]) == [(0.0, "off", "raised")]
    assert life(Alerts((rule(on_delay_s=2.0),)), [2.0, nan, 2.0, 2.0]) == []


def test_what_yields_is_silent_while_the_graver_cause_stands() -> None:
    grave = rule("grave", measure=lambda now: (now.deviation_c or 0.0) / 2.0)
    alerts = Alerts((grave, rule("light", yields_to=("grave",))))
    assert life(alerts, [1.0, 2.0, 2.0, 1.5, 0.0]) == [
        (0.0, "light", "raised"),
        (1.0, "grave", "raised"),
        (1.0, "light", "cleared"),
        (3.0, "grave", "cleared"),
        (3.0, "light", "raised"),
        (4.0, "light", "cleared"),
    ]


def test_what_yields_clears_without_its_delay() -> None:
    grave = rule("grave", measure=lambda now: (now.deviation_c or 0.0) / 2.0)
    alerts = Alerts((grave, rule("light", off_delay_s=60.0, yields_to=("grave",))))
    assert (1.0, "light", "cleared") in life(alerts, [1.0, 2.0])


def test_what_is_held_neither_comes_nor_goes_and_counts_its_delay_anew() -> None:
    silent = rule("silent", measure=lambda now: 1.0 if 2.0 <= now.time_s < 5.0 else None)
    alerts = Alerts((silent, rule("held", on_delay_s=2.0, held_by=("silent",))))
    assert life(alerts, [2.0] * 9) == [
        (2.0, "silent", "raised"),
        (5.0, "silent", "cleared"),
        (7.0, "held", "raised"),
    ]
    raised_first = Alerts((silent, rule("held", held_by=("silent",))))
    assert life(raised_first, [2.0, 2.0, 0.0, 0.0, 0.0, 0.0])[-1] == (5.0, "held", "cleared")


def test_it_is_told_once_a_cause_with_the_message_of_that_moment() -> None:
    alerts = Alerts((rule(),))
    told: list[Alert] = []
    for k, measure in enumerate((1.5, 4.0, 9.0, 0.0)):
        told += alerts.update(replace(CALM, time_s=float(k), deviation_c=measure))
    assert [a.message for a in told] == ["1.5 off: act", "1.5 off: act"]


def test_each_raising_is_counted() -> None:
    alerts = Alerts((rule(), rule("other", measure=lambda now: None)))
    life(alerts, [1.0, 0.0, 1.0, 0.0, 1.0])
    assert alerts.counts == {"off": 3}


def test_what_stands_can_be_acknowledged_and_goes_on_standing() -> None:
    alerts = Alerts((rule(),))
    assert alerts.acknowledge("off", 0.0, None) is None
    life(alerts, [2.0])
    seen = alerts.acknowledge("off", 1.5, 1.0)
    assert seen is not None
    assert (seen.state, seen.time_s, seen.elapsed_s) == ("acknowledged", 1.5, 1.0)
    assert alerts.update(replace(CALM, time_s=2.0, deviation_c=2.0)) == []
    assert alerts.counts == {"off": 1}
    assert alerts.acknowledge("nobody knows this", 2.0, None) is None


def test_what_was_said_is_not_said_again_too_soon() -> None:
    alerts = Alerts((rule(again_after_s=5.0),))
    assert life(alerts, [2.0, 0.0, 2.0, 0.0, 2.0, 2.0, 2.0]) == [
        (0.0, "off", "raised"),
        (1.0, "off", "cleared"),
        (5.0, "off", "raised"),
    ]


def test_an_alert_that_is_turned_off_holds_nothing_back() -> None:
    lesser = Alerts((rule(yields_to=("graver",), held_by=("another",)),))
    assert life(lesser, [2.0]) == [(0.0, "off", "raised")]
