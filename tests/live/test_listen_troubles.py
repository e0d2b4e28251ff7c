"""Troubles in mid-roast: a full disk and a port that vanishes. The roast goes on."""

from __future__ import annotations

import signal
from collections.abc import Iterator
from pathlib import Path

import pytest

from roastside.core.readings import Reading
from roastside.probes.virtual_line import VirtualLine, virtual_line
from roastside.record.reader import read_roast_file
from roastside.record.rest import join_rest
from tests.live.running import WAKING_C, Running, in_little_room, named, posix_only, send

pytestmark = posix_only

ROOM_BYTES = 2000
BEANS = [150.0 + 0.25 * count for count in range(100)]


@pytest.fixture
def line() -> Iterator[VirtualLine]:
    with virtual_line() as made:
        yield made


def recorded_c(file: Path) -> list[float | None]:
    items = read_roast_file(file).items()
    return [item.bean_c for item in items if isinstance(item, Reading) and item.bean_c != WAKING_C]


def cramped(line: VirtualLine, file: Path, home: Path) -> Running:
    """A roast recorded on a disk that fills up, of a person whose own folder is `own` beside it."""
    own = file.parent / "own"
    own.mkdir()
    return Running(
        *("listen", "--port", line.port, "--record", file, "--events"),
        home=home,
        program=in_little_room(ROOM_BYTES),
        extra_env={"HOME": str(own), "USERPROFILE": str(own)},
    )


@pytest.mark.parametrize("home_is_usable", [True, False], ids=["recordings", "own folder"])
def test_rows_that_a_full_disk_refuses_are_rescued(
    home_is_usable: bool, line: VirtualLine, tmp_path: Path
) -> None:
    file, home = tmp_path / "batch.csv", tmp_path / "home"
    if not home_is_usable:
        home.touch()  # a file where the folder should be
    with cramped(line, file, home) as roast:
        roast.wake(line)
        send(line, BEANS)
        roast.wait_for_beans(BEANS)
        roast.wait_for(lambda: named(roast.events, "alert"), "the alert")
        done = roast.end()
    assert done.code == 4
    assert done.events[-1]["event"] == "summary"
    alerts = [alert for alert in named(done.events, "alert") if alert["family"] == "recording"]
    assert [(alert["priority"], alert["state"]) for alert in alerts] == [("high", "raised")]
    assert alerts[0]["message"].startswith("recording not stored (File too large): free some")

    folder = home / "recordings" if home_is_usable else tmp_path / "own"
    (rest,) = folder.glob("*.csv")
    assert file.stat().st_size <= ROOM_BYTES
    told = done.err.splitlines()
    assert len(told) == 2
    assert "free some space" in told[0]
    assert str(rest) in told[1]
    # A row that was cut just before its end is in both.
    assert len(recorded_c(file)) + len(recorded_c(rest)) in (len(BEANS), len(BEANS) + 1)
    assert join_rest(rest) == file
    assert recorded_c(file) == BEANS


def test_a_disk_that_takes_rows_again_is_no_trouble_in_the_end(
    line: VirtualLine, tmp_path: Path
) -> None:
    file = tmp_path / "batch.csv"
    with cramped(line, file, tmp_path / "home") as roast:
        roast.wake(line)
        send(line, BEANS)
        roast.wait_for(lambda: named(roast.events, "alert"), "the alert")
        roast.wait_for_beans(BEANS)
        roast.tell(signal.SIGUSR1)
        more = [190.0, 190.25]
        roast.wait_for(
            lambda: len(named(roast.events, "alert")) == 2,
            "the end of the alert",
            meanwhile=lambda: send(line, [WAKING_C]),
        )
        send(line, more)
        roast.wait_for_beans(BEANS + more)
        done = roast.end()
    assert done.code == 0
    alerts = [alert for alert in named(done.events, "alert") if alert["family"] == "recording"]
    assert [alert["state"] for alert in alerts] == ["raised", "cleared"]
    assert recorded_c(file) == BEANS + more
    assert list((tmp_path / "home").rglob("*.csv")) == []


def test_a_port_that_vanishes_is_waited_for_and_leaves_a_gap(tmp_path: Path) -> None:
    port, file = tmp_path / "adapter", tmp_path / "batch.csv"
    with virtual_line() as first, virtual_line() as second:
        port.symlink_to(first.port)
        command = ("listen", "--port", port, "--record", file, "--events")
        with Running(*command, home=tmp_path) as roast:
            roast.wake(first)
            send(first, [150.0, 151.0])
            roast.wait_for_beans([150.0, 151.0])
            first.unplug()
            port.unlink()
            port.symlink_to(second.port)
            roast.wake(second)
            send(second, [152.0, 153.0])
            roast.wait_for_beans([150.0, 151.0, 152.0, 153.0])
            done = roast.end()
    assert done.code == 0
    (gap,) = named(done.events, "gap")
    assert gap["from_s"] < gap["to_s"]
    assert "lost" in gap["reason"]
    assert str(port) in gap["reason"]
    assert recorded_c(file) == [150.0, 151.0, 152.0, 153.0]
    notes = [row.note for row in read_roast_file(file).rows if row.mark == "comment"]
    assert len(notes) == 1
    assert "probe lost" in notes[0]
