"""Two adapters at once, each on a real pseudo-terminal."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path

import pytest

from roastside.core.errors import ProbeError, UsageError
from roastside.core.readings import Item, Mark, Outage, Reading
from roastside.probes.merged import MergedSource
from roastside.probes.mixer import FRESH_S, Mixer
from roastside.probes.opening import device_source
from roastside.probes.port import open_port
from roastside.probes.source import RoastClock
from roastside.probes.virtual_line import VirtualLine, virtual_line
from tests.probes.waiting import PATIENCE_S, read_until

posix_only = pytest.mark.skipif(sys.platform == "win32", reason="needs pseudo-terminals")


def merged(*adapters: tuple[str, str]) -> MergedSource:
    clock = RoastClock()
    return MergedSource(
        [device_source(port, wire, 9600, clock, bean_needed=False) for port, wire in adapters],
        clock,
    )


@pytest.fixture
def lines() -> Iterator[tuple[VirtualLine, VirtualLine]]:
    with virtual_line() as bean, virtual_line() as air:
        yield bean, air


def beans(items: Sequence[Item]) -> list[Reading]:
    return [item for item in items if isinstance(item, Reading) and not item.partial]


def others(items: Sequence[Item]) -> list[Reading]:
    return [item for item in items if isinstance(item, Reading) and item.partial]


def test_both_arrive_in_the_order_of_time_and_bean_readings_bear_the_other_probes(
    lines: tuple[VirtualLine, VirtualLine],
) -> None:
    bean, air = lines
    source = merged((bean.port, "lines:bean=1,inlet_c=2"), (air.port, "lines:air=1,exhaust_c=2"))
    source.open()
    air.write(b"231.0,180.0\n" * 2)
    items = read_until(source, lambda got: len(others(got)) >= 2, "the air probe")
    bean.write(b"203.4,21.5\n" * 2)
    items += read_until(source, lambda got: len(beans(got)) >= 2, "the bean probe")
    source.close()
    assert [(r.bean_c, r.air_c, dict(r.extra)) for r in beans(items)] == [
        (203.4, 231.0, {"inlet_c": 21.5, "exhaust_c": 180.0})
    ] * 2
    assert [(r.bean_c, r.air_c, dict(r.extra)) for r in others(items)] == [
        (None, 231.0, {"exhaust_c": 180.0})
    ] * 2
    assert all(before.time_s <= after.time_s for before, after in pairwise(items))
    assert source.name == f"{bean.port} + {air.port}"
    assert source.channels == ("bean", "inlet_c", "air", "exhaust_c")
    assert source.own_rows == ("air_c", "exhaust_c")


def test_many_readings_of_both_are_all_there_and_in_order(
    lines: tuple[VirtualLine, VirtualLine],
) -> None:
    bean, air = lines
    source = merged((bean.port, "lines:bean=1"), (air.port, "lines:air=1"))
    source.open()
    count = 400
    senders = [
        threading.Thread(
            target=lambda line=line: [line.write(b"%d\n" % (20 + n % 400)) for n in range(count)]
        )
        for line in lines
    ]
    for sender in senders:
        sender.start()
    items = read_until(
        source,
        lambda got: len(beans(got)) >= count and len(others(got)) >= count,
        "all readings of both",
    )
    for sender in senders:
        sender.join(PATIENCE_S)
    source.close()
    expected = [float(20 + n % 400) for n in range(count)]
    assert [r.bean_c for r in beans(items)] == expected
    assert [r.air_c for r in others(items)] == expected
    assert all(before.time_s <= after.time_s for before, after in pairwise(items))


class Adapter:
    """One that says nothing by itself."""

    def __init__(self, name: str, *channels: str) -> None:
        self.name, self.channels = name, channels
        self.ended = False

    def open(self) -> None:
        """Nothing to open."""

    def read(self, timeout_s: float) -> list[Item]:
        return []

    def now_s(self) -> float:
        return 0.0

    def close(self) -> None:
        """Nothing to close."""


BEAN, OTHER = Adapter("B", "bean"), Adapter("A", "air", "x_c")


def mixed(*came: tuple[Adapter, Item]) -> list[Item]:
    return Mixer(BEAN).take(came)


def test_an_old_temperature_of_another_probe_is_not_borrowed() -> None:
    other = Reading(1.0, None, 231.0, {"x_c": 50.0})
    for late_s, air_c in ((FRESH_S, 231.0), (FRESH_S + 0.01, None)):
        [reading] = beans(mixed((OTHER, other), (BEAN, Reading(1.0 + late_s, 203.4))))
        assert reading.air_c == air_c
        assert reading.extra == ({"x_c": 50.0} if air_c else {})


def test_an_open_probe_is_not_borrowed_from_what_it_said_before() -> None:
    items = mixed(
        (OTHER, Reading(1.0, None, 231.0, {"x_c": 50.0})),
        (OTHER, Reading(1.5, None, None, {"x_c": 51.0})),
        (OTHER, Reading(1.6, None)),
        (BEAN, Reading(1.7, 203.4)),
    )
    assert beans(items) == [Reading(1.7, 203.4, None, {})]
    assert [r.time_s for r in others(items)] == [1.0, 1.5]


def test_a_missing_bean_reading_borrows_nothing_so_that_it_stays_one() -> None:
    items = mixed((OTHER, Reading(1.0, None, 231.0)), (BEAN, Reading(1.5, None)))
    assert items == [Reading(1.0, None, 231.0, partial=True), Reading(1.5, None)]


def test_what_is_handed_over_in_another_order_is_put_in_order() -> None:
    items = mixed((BEAN, Reading(1.5, 203.4)), (OTHER, Reading(1.0, None, 231.0)))
    assert [item.time_s for item in items] == [1.0, 1.5]
    assert beans(items)[0].air_c == 231.0


def test_what_is_handed_over_late_does_not_turn_time_back() -> None:
    mixer = Mixer(BEAN)
    mixer.take([(OTHER, Reading(2.0, None, 231.0))])
    assert [item.time_s for item in mixer.take([(BEAN, Reading(1.999, 203.4))])] == [2.0]


@posix_only
def test_an_adapter_that_is_unplugged_holds_up_no_other_and_heals(tmp_path: Path) -> None:
    port = tmp_path / "air"
    first, second = virtual_line(), virtual_line()
    port.symlink_to(first.port)
    with virtual_line() as bean:
        source = merged((bean.port, "lines:bean=1"), (str(port), "lines:air=1"))
        source.open()
        first.write(b"231.0\n" * 2)
        bean.write(b"203.0\n" * 2)
        read_until(source, lambda got: bool(others(got)) and bool(beans(got)), "both probes")
        port.unlink()  # first, as the system may give the name it points to to another terminal
        first.unplug()
        items = read_until(
            source, lambda got: any(isinstance(item, Mark) for item in got), "the remark"
        )
        assert not [item for item in items if isinstance(item, Outage)]
        [lost] = [item for item in items if isinstance(item, Mark)]
        assert (lost.mark, lost.note) == ("comment", f"air: the line to {port} was lost")
        bean.write(b"204.0\n" * 3)
        read_until(source, lambda got: len(beans(got)) >= 3, "beans while air is away")

        port.symlink_to(second.port)
        items = read_until(
            source, lambda got: bool(others(got)), "air again", lambda: second.write(b"99.5\n")
        )
        [back] = [item for item in items if isinstance(item, Mark)]
        assert back.note == f"air: {port} is back"
        assert items.index(back) < items.index(others(items)[0])
        bean.write(b"205.0\n")
        items = read_until(source, lambda got: bool(beans(got)), "beans with air")
        assert beans(items)[0].air_c == 99.5
        source.close()
    second.unplug()


@posix_only
def test_the_bean_adapter_unplugged_is_an_outage(lines: tuple[VirtualLine, VirtualLine]) -> None:
    bean, air = lines
    source = merged((air.port, "lines:air=1"), (bean.port, "lines:bean=1"))
    source.open()
    bean.write(b"Starting\n203.0\nStopping\n")
    read_until(source, lambda got: len(beans(got)) >= 1, "beans")
    bean.unplug()
    items = read_until(
        source, lambda got: any(isinstance(item, Outage) for item in got), "the outage"
    )
    [outage] = [item for item in items if isinstance(item, Outage)]
    assert outage.reason == f"the line to {bean.port} was lost"
    air.write(b"231.0\n" * 2)
    read_until(source, lambda got: len(others(got)) >= 2, "air while beans are away")
    assert source.last_unread == "Stopping"
    source.close()


def test_all_ports_open_or_none(tmp_path: Path) -> None:
    with virtual_line() as bean:
        source = merged((bean.port, "lines:bean=1"), (str(tmp_path / "nothing"), "lines:air=1"))
        with pytest.raises(ProbeError, match="nothing"):
            source.open()
        open_port(bean.port, 9600).close()


def test_closing_lets_go_of_every_port(lines: tuple[VirtualLine, VirtualLine]) -> None:
    bean, air = lines
    source = merged((bean.port, "lines:bean=1"), (air.port, "lines:air=1"))
    source.open()
    source.close()
    for line in lines:
        open_port(line.port, 9600).close()


def test_a_bug_in_one_thread_is_no_silence() -> None:
    class Broken(Adapter):
        def read(self, timeout_s: float) -> list[Item]:
            raise ZeroDivisionError

    source = MergedSource([BEAN, Broken("A", "air")], RoastClock())
    source.open()
    with pytest.raises(ZeroDivisionError):
        source.read(PATIENCE_S)
    source.close()


@pytest.mark.parametrize(
    ("wires", "says"),
    [
        (("lines:air=1", "lines:exhaust_c=1"), "No wire says which field is the bean probe"),
        (("lines:bean=1", "lines:bean=2"), "A and B both look for bean"),
        (("lines", "lines:air=1"), "both look for air (a wire without fields"),
        (("lines:bean=1,x_c=2", "lines:x_c=1"), "both look for x;"),
    ],
)
def test_wires_that_do_not_fit_together_are_refused(wires: tuple[str, str], says: str) -> None:
    with pytest.raises(UsageError) as refusal:
        merged(("A", wires[0]), ("B", wires[1]))
    assert says in str(refusal.value)
    assert len(str(refusal.value)) < 300


def test_an_adapter_of_any_kind_may_do_without_the_bean_probe() -> None:
    source = merged(("A", "lines:bean=1"), ("B", "modbus:air=0,exhaust_c=9"))
    assert source.own_rows == ("air_c", "exhaust_c")
    with pytest.raises(UsageError, match="which register is the bean probe"):
        device_source("B", "modbus:air=0", 9600, RoastClock())
