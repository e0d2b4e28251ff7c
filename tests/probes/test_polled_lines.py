"""Devices that answer only when asked: what is sent to them, when, and that it heals."""

from __future__ import annotations

import sys
from itertools import count
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.readings import Item, Outage, Reading
from roastside.probes.opening import device_source
from roastside.probes.source import RoastClock
from roastside.probes.wire.poll import Poll, Schedule
from tests.probes.waiting import read_until

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo-terminals")

WIRE = r"lines:bean=2,air=3,prefix=ok,poll=READ\r\n,every=50"
QUESTION = b"READ\r\n"


def beans_c(items: list[Item]) -> list[float | None]:
    return [item.bean_c for item in items if isinstance(item, Reading)]


def test_a_poll_is_due_at_once_and_then_every_so_often() -> None:
    schedule = Schedule(Poll(b"?", 0.5))
    assert [t / 8 for t in range(20) if schedule.due(10.0 + t / 8)] == [0.0, 0.5, 1.0, 1.5, 2.0]


def test_a_late_poll_does_not_shift_the_next_one_and_missed_ones_are_not_made_up_for() -> None:
    schedule = Schedule(Poll(b"?", 0.5))
    asked = [t for t in (0.0, 0.6, 0.9, 1.0, 1.4, 1.5, 9.2, 9.25, 9.7) if schedule.due(t)]
    assert asked == [0.0, 0.6, 1.0, 1.5, 9.2, 9.7]


@given(st.floats(0.05, 10.0), st.lists(st.floats(0.0, 3.0), max_size=50))
def test_it_is_never_sent_more_often_than_asked_for(every_s: float, steps: list[float]) -> None:
    schedule, now_s, sent = Schedule(Poll(b"?", every_s)), 0.0, 0
    for step_s in steps:
        now_s += step_s
        wait_s = schedule.wait_s(now_s)
        assert bool(schedule.due(now_s)) == (wait_s == 0.0)
        sent += wait_s == 0.0
        assert sent <= 1 + now_s / every_s


@posix_only
def test_a_device_that_speaks_only_when_asked_is_read() -> None:
    from tests.probes.asked_line import AskedLine

    numbers = count(200)
    with AskedLine(QUESTION, lambda: b"ok,7,%d,231.0\r\n" % next(numbers)) as line:
        source = device_source(line.port, WIRE, 9600, RoastClock())
        source.open()
        items = read_until(source, lambda got: len(got) >= 5, "five answers")
        source.close()
        asked = line.asked
    assert beans_c(items)[:5] == [200.0, 201.0, 202.0, 203.0, 204.0]
    assert asked == QUESTION * (len(asked) // len(QUESTION))
    times_s = [item.time_s for item in items]
    assert times_s == sorted(times_s)


@posix_only
def test_it_is_asked_again_when_it_comes_back(tmp_path: Path) -> None:
    from tests.probes.asked_line import AskedLine

    port = tmp_path / "probe"
    first = AskedLine(QUESTION, lambda: b"ok,7,200,231\r\n")
    second = AskedLine(QUESTION, lambda: b"ok,7,99,231\r\n")
    port.symlink_to(first.port)
    source = device_source(str(port), WIRE, 9600, RoastClock())
    source.open()
    read_until(source, lambda got: len(got) >= 2, "answers before the outage")
    port.unlink()  # first, as the system may give the name it points to to another terminal
    first.unplug()
    read_until(source, lambda got: isinstance(got[-1], Outage) if got else False, "the outage")
    port.symlink_to(second.port)
    items = read_until(source, lambda got: len(got) >= 3, "answers again")
    source.close()
    second.unplug()
    assert set(beans_c(items)) == {99.0}


@posix_only
@pytest.mark.parametrize("wire", ["lines", "millivolts:bean=1,cold=2,type=K"])
def test_nothing_is_ever_sent_to_a_device_that_need_not_be_asked(wire: str) -> None:
    from tests.probes.asked_line import AskedLine

    with AskedLine(b"never", lambda: b"") as line:
        source = device_source(line.port, wire, 9600, RoastClock())
        source.open()
        for _ in range(8):
            assert list(source.read(0.05)) == []
        source.close()
        assert line.asked == b""
