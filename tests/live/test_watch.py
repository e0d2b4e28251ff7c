"""Words for the person beside a headless roast."""

from __future__ import annotations

import io

import pytest

from roastside.core.events import Alert, AlertState, Family, Priority, Summary
from roastside.live.watch import Watch, unread_hint
from tests.live.sources import HandFedSource


class Unreadable(HandFedSource):
    """A source whose line says something else."""

    last_unread = "hello there"


def alert(
    family: Family, state: AlertState = AlertState.RAISED, name: str = "probe_silent"
) -> Alert:
    return Alert(3.0, None, name, family, Priority.HIGH, state, "nothing comes: look at it")


def told(source: HandFedSource, *alerts: Alert) -> str:
    out = io.StringIO()
    Watch(source, out)(alerts)
    return out.getvalue()


@pytest.mark.parametrize("family", [Family.PROBE, Family.RECORDING, Family.SAFETY])
def test_troubles_are_told_as_they_begin_and_end(family: Family) -> None:
    said = told(
        HandFedSource(),
        alert(family, name="x"),
        alert(family, AlertState.ACKNOWLEDGED, name="x"),
        alert(family, AlertState.CLEARED, name="x"),
    )
    assert said.splitlines() == [
        "roastside: hand-fed: nothing comes: look at it",
        "roastside: hand-fed: over: x",
    ]


@pytest.mark.parametrize("family", [Family.DEVIATION, Family.TIMING])
def test_the_course_of_the_roast_is_not_told(family: Family) -> None:
    assert told(HandFedSource(), alert(family)) == ""


def test_a_line_without_temperatures_is_shown_while_it_lasts() -> None:
    begins, ends = alert(Family.PROBE), alert(Family.PROBE, AlertState.CLEARED)
    first, last = told(Unreadable(), begins, ends).splitlines()
    assert "'hello there'" in first
    assert "--wire" in first
    assert "hello there" not in last
    assert "hello" not in told(Unreadable(), alert(Family.SAFETY, name="over_temperature"))


def test_something_is_said_once() -> None:
    out = io.StringIO()
    watch = Watch(HandFedSource(), out)
    for sentence in ("one", "two", "one"):
        watch.tell_once(sentence)
    assert out.getvalue() == "roastside: hand-fed: one\nroastside: hand-fed: two\n"


def test_a_person_who_has_gone_stops_no_roast() -> None:
    class Gone(io.StringIO):
        def write(self, text: str) -> int:
            raise BrokenPipeError

    Watch(HandFedSource(), Gone())([alert(Family.PROBE)])


class Terminal(io.StringIO):
    """Where a person looks on."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("alerts", "duration_s", "said"),
    [
        ({"below_reference": 2, "cue_soon": 3}, 600.0, "5 alerts, 5.0 in ten minutes"),
        ({"cue_soon": 1}, 1200.0, "1 alert, 0.5 in ten minutes"),
        ({"probe_silent": 2}, None, "2 alerts"),
        ({}, 600.0, "no alerts"),
    ],
)
def test_at_a_terminal_the_end_tells_how_often_alerts_came(
    alerts: dict[str, int], duration_s: float | None, said: str
) -> None:
    summary = Summary(640.0, 600.0, duration_s, {}, {}, None, None, None, alerts)
    told_to = dict[str, str]()
    for name, out in (("terminal", Terminal()), ("pipe", io.StringIO())):
        watch = Watch(HandFedSource(), out)
        watch.sum_up()
        watch([summary])
        watch.sum_up()
        told_to[name] = out.getvalue()
    assert told_to == {"terminal": f"roastside: hand-fed: {said}\n", "pipe": ""}


@pytest.mark.parametrize(
    ("line", "advice"),
    [
        ("ERR open probe", "the adapter says 'ERR open probe': check the probe and its plug"),
        ("bean=OPEN, cold=24 fault", "check the probe and its plug"),
        ("20\ufffd.4,2\ufffd", "which is garbled: check the plug, then --baud"),
        ("bean about 203.4", "which is no reading as a whole: is --wire right?"),
    ],
)
def test_what_a_line_without_a_reading_says_tells_what_to_look_at(line: str, advice: str) -> None:
    source = Unreadable()
    source.last_unread = line
    assert unread_hint(source).endswith(advice)
