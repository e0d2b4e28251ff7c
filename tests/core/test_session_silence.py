"""What a session says of a probe or a line that falls silent."""

from __future__ import annotations

from dataclasses import replace

import pytest

from roastside.core.events import Alert, Gap
from roastside.core.readings import (
    Outage,
    Reading,
    Tick,
)
from roastside.core.session import Session
from tests.core.house_roast import HOUSE, ROAST, after, alerts, samples, until
from tests.core.roasts import (
    Probe,
    readings,
    told,
)


@pytest.mark.parametrize("offset_s", [0.0, 0.1, 0.001, 0.021, 0.49])
def test_silence_is_told_three_seconds_after_the_last_reading_and_cleared_by_the_next(
    offset_s: float,
) -> None:
    items = [replace(r, time_s=round(r.time_s + offset_s, 3)) for r in ROAST]
    # Near 256 the spacing of floating-point numbers doubles: differences are not exact there.
    last_s, back_s = round(253.5 + offset_s, 3), round(268.5 + offset_s, 3)
    heard = [r for r in items if r.time_s <= last_s or r.time_s >= back_s]
    events = told(Session(), heard)
    silence = [(at, state) for at, alert, state in alerts(events) if alert == "probe_silent"]
    assert silence == [
        (pytest.approx(last_s + 3.0, abs=1e-6), "raised"),
        (back_s, "cleared"),
    ]
    (gap,) = (e for e in events if isinstance(e, Gap))
    assert (gap.from_s, gap.to_s, gap.time_s) == (last_s, back_s, back_s)
    assert gap.reason == "no readings came"


def test_readings_without_a_bean_temperature_are_an_open_probe_not_silence() -> None:
    items = [replace(r, bean_c=None) if 200.0 < r.time_s < 215.0 else r for r in ROAST]
    session = Session()
    told_of = [s for s in alerts(told(session, items)) if s[1].startswith("probe_")]
    assert told_of == [(203.0, "probe_open", "raised"), (220.0, "probe_open", "cleared")]
    assert session.finish().missing == 29


def test_silence_of_an_hour_and_more_is_told_once() -> None:
    session = Session()
    told(session, until(100.0))
    events = session.feed(Tick(1e9))
    assert [alert for _, alert, state in alerts(events) if state == "raised"] == ["probe_silent"]
    assert samples(session.feed(Reading(1e9 + 1.0, 200.0)))


def test_a_probe_that_never_speaks_is_silent_too() -> None:
    events = told(Session(), [Tick(0.1 * k) for k in range(60)])
    assert [alert for _, alert, _ in alerts(events)] == ["probe_silent"]


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
def test_the_usual_spacing_of_an_adapter_is_neither_gap_nor_silence(interval_s: float) -> None:
    items = readings(HOUSE, Probe(interval_s, jitter_s=0.1 * interval_s))
    events = told(Session(), items)
    assert not [e for e in events if isinstance(e, Gap)]
    assert not [alert for _, alert, _ in alerts(events) if alert == "probe_silent"]


def test_a_lost_link_gives_the_gap_its_reason() -> None:
    session = Session()
    told(session, until(200.0))
    session.feed(Outage(200.2, "the cable was pulled"))
    session.feed(Outage(201.0, "still no port"))
    gaps = [e for e in told(session, after(201.0)) if isinstance(e, Gap)]
    assert [(g.from_s, g.to_s, g.reason) for g in gaps] == [(200.0, 201.5, "the cable was pulled")]


@pytest.mark.parametrize(
    ("outages", "told_first"),
    [
        (
            [Outage(200.2, "the line to COM3 was lost")],
            "check the plug, roast by eye and ear:",
        ),
        ([Outage(200.2, "roastside was not running")], "check the probe, roast by eye and ear:"),
        ([], "check the probe, roast by eye and ear:"),
    ],
)
def test_a_silent_probe_is_told_with_what_to_look_at(
    outages: list[Outage], told_first: str
) -> None:
    session = Session()
    told(session, until(200.0))
    events = told(session, [*outages, Tick(206.0)])
    (raised,) = [e for e in events if isinstance(e, Alert) and e.alert == "probe_silent"]
    assert raised.message.startswith(told_first)
