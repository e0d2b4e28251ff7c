"""`listen` on a real pseudo-terminal: what is sent down the line is told, recorded and kept."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path
from time import sleep

import pandas as pd
import pytest

from roastside.core.readings import Reading
from roastside.probes.virtual_line import VirtualLine, virtual_line
from roastside.record.reader import read_roast_file
from tests.live.running import (
    HOUSE,
    WAKING_C,
    Running,
    beans_c,
    named,
    parse,
    posix_only,
    run,
    send,
)

pytestmark = posix_only

BEANS = [150.0 + 0.25 * count for count in range(40)]


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


def recorded_c(file: Path) -> list[float | None]:
    items = read_roast_file(file).items()
    return [item.bean_c for item in items if isinstance(item, Reading) and item.bean_c != WAKING_C]


def listening(line: VirtualLine, file: Path, *more: object) -> Running:
    return Running(
        "listen", "--port", line.port, "--record", file, *more, "--events", home=file.parent
    )


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_a_signal_ends_the_roast_with_everything_stored(
    number: signal.Signals, line: VirtualLine, tmp_path: Path
) -> None:
    file = tmp_path / "batch.csv"
    with listening(line, file, "--reference", HOUSE) as roast:
        roast.wake(line)
        send(line, BEANS)
        roast.wait_for_beans(BEANS)
        done = roast.end(number)
    assert (done.code, done.err) == (0, "")
    assert named(done.events, "summary") == [done.events[-1]]
    kept = read_roast_file(file)
    assert not kept.torn
    assert kept.header["reference"] == "House espresso v3"
    readings = [item for item in kept.items() if isinstance(item, Reading)]
    told = [(s["time_s"], s["bean_c"], s["air_c"]) for s in named(done.events, "sample")]
    assert [(item.time_s, item.bean_c, item.air_c) for item in readings] == told
    assert done.events[-1]["readings"] == len(readings)


def test_a_kill_loses_no_reading_that_was_told(line: VirtualLine, tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    with listening(line, file) as roast:
        roast.wake(line)
        send(line, BEANS)
        roast.wait_for_beans(BEANS[:10])
        done = roast.end(signal.SIGKILL)
    told = beans_c(parse(done.out.rpartition("\n")[0]))
    kept = [WAKING_C] * told.count(WAKING_C) + recorded_c(file)
    assert done.code == -signal.SIGKILL
    assert kept[: len(told)] == told


def test_the_recording_can_be_read_while_it_grows(line: VirtualLine, tmp_path: Path) -> None:
    file = tmp_path / "batch.csv"
    with listening(line, file) as roast:
        roast.wake(line)
        with Running("follow", file, "--events", home=tmp_path) as second:
            send(line, BEANS)
            roast.wait_for_beans(BEANS)
            second.wait_for_beans(BEANS)
            assert second.end().code == 0
        table = pd.read_csv(file, comment="#")
        assert [c for c in table["bean_c"] if c != WAKING_C] == BEANS
        assert recorded_c(file) == BEANS
        assert roast.end().code == 0


def test_a_second_listener_is_told_that_the_port_is_held(line: VirtualLine, tmp_path: Path) -> None:
    with listening(line, tmp_path / "batch.csv") as roast:
        roast.wake(line)
        second = run("listen", "--port", line.port, "--events", home=tmp_path)
        assert (second.code, second.out) == (3, "")
        assert "held by another program" in second.sentence
        send(line, BEANS)
        roast.wait_for_beans(BEANS)


def test_without_record_nothing_is_kept(line: VirtualLine, tmp_path: Path) -> None:
    with Running("listen", "--port", line.port, "--events", home=tmp_path / "home") as roast:
        roast.wake(line)
        assert roast.end().code == 0
    assert list(tmp_path.rglob("*.csv")) == []


def test_fields_and_units_are_taken_as_the_wire_says(line: VirtualLine, tmp_path: Path) -> None:
    wire = ("--wire", "lines:bean=2,air=1,unit=F")
    with Running("listen", "--port", line.port, *wire, "--events", home=tmp_path) as roast:
        roast.wait_for(
            lambda: named(roast.events, "sample"),
            "a sample",
            meanwhile=lambda: line.write(b"446,392\n"),
        )
        sample = named(roast.end().events, "sample")[0]
    assert (sample["bean_c"], sample["air_c"]) == (200.0, 230.0)


def test_what_listen_told_a_replay_of_its_recording_tells_again(
    line: VirtualLine, tmp_path: Path
) -> None:
    """The command itself on a real line, with a plunge in it, against `replay --speed max`."""
    file = tmp_path / "batch.csv"
    plunge = [205.0] * 8 + [205.0 - 6.0 * n for n in range(1, 16)] + [115.0] * 4
    with listening(line, file, "--reference", HOUSE) as roast:
        roast.wake(line)
        for bean_c in plunge:
            send(line, [bean_c])
            sleep(0.1)
        roast.wait_for_beans(plunge)
        lived = roast.end()
    replayed = run(
        "replay", file, "--reference", HOUSE, "--speed", "max", "--events", home=tmp_path
    )
    assert any(mark["mark"] == "charge" for mark in named(lived.events, "mark"))
    assert replayed.events[:-1] == lived.events[:-1]
    # A listener waits a little after the last reading; the file ends with it.
    when = ("time_s", "elapsed_s")
    lived_sum, replayed_sum = (
        {key: value for key, value in done.events[-1].items() if key not in when}
        for done in (lived, replayed)
    )
    assert replayed_sum == lived_sum


def test_a_whole_fixture_sent_down_the_line_is_told_as_replay_tells_it(
    line: VirtualLine, tmp_path: Path
) -> None:
    """Faster than any device sends: every reading is told once, in order, and kept.

    The clock of this roast is the listener's own. That a roast at its own pace gives the
    fixture's very events is shown line by line in `test_replay_equals_live`.
    """
    fixture = run("replay", HOUSE, "--speed", "max", "--events", home=tmp_path)
    sent = [sample["bean_c"] for sample in named(fixture.events, "sample")]
    file = tmp_path / "batch.csv"
    with listening(line, file, "--reference", HOUSE) as roast:
        roast.wake(line)
        woken = len(named(roast.events, "sample"))
        send(line, sent)
        # Lines that woke the listener may still have been on their way when the first was heard.
        roast.wait_for(
            lambda: (
                beans_c(roast.events)[-1:] == sent[-1:]
                and len(beans_c(roast.events)) >= woken + len(sent)
            ),
            "the whole fixture",
        )
        lived = roast.end()
    assert beans_c(lived.events)[-len(sent) :] == sent
    replayed = run(
        "replay", file, "--reference", HOUSE, "--speed", "max", "--events", home=tmp_path
    )
    for kind in ("sample", "mark", "forecast"):
        assert named(replayed.events, kind) == named(lived.events, kind)
