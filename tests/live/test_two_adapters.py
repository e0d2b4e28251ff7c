"""`listen` on two real pseudo-terminals at once: told, recorded, and replayed as it was told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path

import pandas as pd
import pytest

from roastside.core.errors import UsageError
from roastside.core.readings import Reading
from roastside.live.line import Line, chosen_lines
from roastside.probes.virtual_line import VirtualLine, virtual_line
from roastside.record.reader import read_roast_file
from tests.live.running import Done, Running, named, posix_only, run, run_here

BEANS = [150.0 + 0.25 * count for count in range(30)]


@pytest.fixture
def lines() -> Iterator[tuple[VirtualLine, VirtualLine]]:
    with virtual_line() as bean, virtual_line() as air:
        yield bean, air


@pytest.fixture
def here(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> Callable[..., Done]:
    return partial(run_here, home=tmp_path / "home", patch=monkeypatch, streams=capfd)


def listening(lines: tuple[VirtualLine, VirtualLine], file: Path) -> Running:
    bean, air = lines
    wires = ("lines:bean=1,inlet_c=2", "lines:air=2,exhaust_c=1,exhaust_c_unit=F")
    ports = ("--port", bean.port, "--wire", wires[0], "--port", air.port, "--wire", wires[1])
    return Running("listen", *ports, "--record", file, "--events", home=file.parent)


@posix_only
def test_both_are_told_recorded_and_replayed_as_they_were_told(
    lines: tuple[VirtualLine, VirtualLine], tmp_path: Path
) -> None:
    bean, air = lines
    file = tmp_path / "batch.csv"
    with listening(lines, file) as roast:

        def heard_air() -> bool:
            samples = named(roast.events, "sample")
            return bool(samples) and samples[-1]["air_c"] == 230.0

        def both_speak() -> None:
            air.write(b"392,230\n")
            bean.write(b"90.0,21.5\n")

        roast.wait_for(heard_air, "the air probe beside the beans", meanwhile=both_speak)
        for bean_c in BEANS:
            air.write(b"392,230\n")
            bean.write(b"%.2f,nan\n" % bean_c)
        roast.wait_for_beans(BEANS)
        air.unplug()
        roast.wait_for(lambda: named(roast.events, "mark"), "a remark on the lost air probe")
        bean.write(b"nan,21.5\n180.0,21.5\n")
        roast.wait_for(lambda: roast.beans_c()[-1] == 180.0, "beans while air is away")
        done = roast.end()
    assert done.code == 0

    [remark] = named(done.events, "mark")
    assert (remark["mark"], remark["source"]) == ("comment", "auto")
    assert remark["note"] == f"air, exhaust: the line to {air.port} was lost"
    assert named(done.events, "gap") == []
    summary = done.events[-1]
    assert (summary["alerts"], summary["missing"]) == ({}, 1)

    kept = read_roast_file(file)
    assert kept.columns[:5] == ("time_s", "bean_c", "air_c", "inlet_c", "exhaust_c")
    assert kept.header["own_rows"] == "air_c exhaust_c"
    readings = [item for item in kept.items() if isinstance(item, Reading)]
    own = [reading for reading in readings if reading.partial]
    assert len(own) >= len(BEANS)
    assert {(r.bean_c, r.air_c, r.extra["exhaust_c"]) for r in own} == {(None, 230.0, 200.0)}
    assert [reading.time_s for reading in readings] == sorted(r.time_s for r in readings)
    table = pd.read_csv(file, comment="#")
    assert table["bean_c"].count() == summary["readings"]

    again = run("replay", file, "--speed", "max", "--events", home=tmp_path)
    told = [event for event in done.events if event["event"] not in ("mark", "summary")]
    replayed = [event for event in again.events if event["event"] not in ("mark", "summary")]
    assert replayed == told
    [remark_again] = named(again.events, "mark")
    assert remark_again == {**remark, "source": "file"}
    assert {**again.events[-1], "time_s": 0.0} == {**summary, "time_s": 0.0}


def test_the_second_wire_and_speed_belong_to_the_second_port() -> None:
    assert chosen_lines(["A", "B"], [9600, 115200], ["lines:bean=1", "lines:air=1"]) == [
        Line("A", 9600, "lines:bean=1"),
        Line("B", 115200, "lines:air=1"),
    ]
    assert chosen_lines(["A", "B"], [], []) == [Line("A", 9600, "lines"), Line("B", 9600, "lines")]
    assert chosen_lines(["A"], [], []) == [Line("A", 9600, "lines")]


@pytest.mark.parametrize(
    ("ports", "bauds", "wires", "says"),
    [
        (["A", "B"], [], ["lines"], "--port is given 2 times and --wire 1 times"),
        (["A", "B"], [9600], ["lines", "lines"], "--port is given 2 times and --baud 1 times"),
        (["A"], [], ["lines", "lines"], "--port is given 1 times and --wire 2 times"),
        (["A", "A"], [], [], "given twice"),
    ],
)
def test_counts_that_do_not_fit_are_refused(
    ports: list[str], bauds: list[int], wires: list[str], says: str
) -> None:
    with pytest.raises(UsageError, match=says):
        chosen_lines(ports, bauds, wires)


@pytest.mark.parametrize(
    ("options", "code", "says"),
    [
        (["--port", "A", "--wire", "lines:air=1"], 2, "which field is the bean probe"),
        (["--port", "A", "--port", "B", "--wire", "lines"], 2, "its own --wire"),
        (["--port", "A", "--port", "B"], 2, "both look for bean"),
        (["--port", "A", "--wire", "lines:x_c=1", "--port", "B", "--wire", "lines:air=1"], 2, "No"),
    ],
)
def test_adapters_that_cannot_go_together_are_refused_in_one_sentence(
    options: list[str], code: int, says: str, here: Callable[..., Done]
) -> None:
    done = here("listen", *options, "--events")
    assert (done.code, done.out) == (code, "")
    assert says in done.sentence
