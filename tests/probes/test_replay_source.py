"""Playing a roast file again."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.errors import RecordError, UsageError
from roastside.core.readings import Item, Mark, Reading
from roastside.probes.replay import LARGEST_BATCH, ReplaySource, in_time
from tests.probes.roast_text import EXPECTED, HEAD, TEXT
from tests.probes.wall_time import WallTime


@pytest.fixture
def roast(tmp_path: Path) -> Path:
    path = tmp_path / "roast.csv"
    path.write_text(TEXT)
    return path


def opened(path: Path, speed: float | None, time: WallTime) -> ReplaySource:
    source = ReplaySource(path, speed, time.monotonic, time.sleep)
    source.open()
    return source


def test_at_max_speed_everything_comes_at_once_in_file_order(roast: Path) -> None:
    time = WallTime()
    source = opened(roast, None, time)
    assert source.file.header["title"] == "Harbour Street test batch"
    assert not source.ended
    assert source.now_s() == 10.0
    assert source.read(1.0) == EXPECTED
    assert source.ended
    assert source.now_s() == 15.0
    assert source.read(1.0) == []
    assert time.slept == []


def test_a_long_roast_comes_in_batches(tmp_path: Path) -> None:
    path = tmp_path / "long.csv"
    count = 2 * LARGEST_BATCH + 1
    path.write_text(HEAD + "".join(f"{k}.0,20.0,,,,\n" for k in range(count)))
    source = opened(path, None, WallTime())
    sizes = []
    while not source.ended:
        sizes.append(len(source.read(1.0)))
    assert sizes == [LARGEST_BATCH, LARGEST_BATCH, 1]


@pytest.mark.parametrize("speed", [0.5, 1.0, 3.0, 60.0])
def test_at_a_speed_the_same_items_come_each_when_its_time_has_come(
    roast: Path, speed: float
) -> None:
    time = WallTime()
    source = opened(roast, speed, time)
    items: list[Item] = []
    nows_s = [source.now_s()]
    while not source.ended:
        batch = source.read(0.1)
        for item in batch:
            due_s = max(item.time_s, *(each.time_s for each in items), 0.0)
            assert (time.now - 100.0) * speed == pytest.approx(due_s - 10.0, abs=0.001)
            items.append(item)
        nows_s.append(source.now_s())
    assert items == EXPECTED
    assert nows_s == sorted(nows_s)
    assert nows_s[-1] == 15.0
    assert max(time.slept) <= 0.1


def test_a_read_waits_no_longer_than_asked_and_no_longer_than_needed(roast: Path) -> None:
    time = WallTime()
    source = opened(roast, 1.0, time)
    assert source.read(5.0) == EXPECTED[:1]
    assert source.read(0.2) == []
    assert source.now_s() == pytest.approx(10.2)
    assert source.read(5.0) == EXPECTED[1:2]
    assert time.slept == pytest.approx([0.2, 0.3])


def test_a_reader_that_was_late_gets_what_it_missed(roast: Path) -> None:
    time = WallTime()
    source = opened(roast, 1.0, time)
    time.now += 3.5
    assert source.now_s() == 10.0
    assert source.read(1.0) == EXPECTED[:7]
    assert source.now_s() == 13.5


def test_a_speed_that_is_none_is_refused(roast: Path) -> None:
    for speed in (0.0, -1.0, float("nan"), float("inf")):
        with pytest.raises(UsageError):
            ReplaySource(roast, speed)


def test_what_is_no_roast_file_is_refused_at_opening(tmp_path: Path) -> None:
    path = tmp_path / "letter.txt"
    with pytest.raises(RecordError):
        ReplaySource(path, None).open()
    path.write_text("Dear Sir,\n")
    with pytest.raises(RecordError):
        ReplaySource(path, None).open()


def test_a_mark_written_above_its_time_is_given_when_the_readings_have_come_so_far() -> None:
    readings = [Reading(float(t), 200.0) for t in range(5)]
    moved = [Mark(3.0, "first_crack"), Mark(2.0, "first_crack")]
    given = list(in_time([*readings[:1], *moved, *readings[1:], Mark(9.0, "drop")]))
    assert given == [*readings[:3], *moved, *readings[3:], Mark(9.0, "drop")]


def test_a_back_dated_mark_stays_where_it_stands_in_the_file() -> None:
    items = [Reading(1.0, 200.0), Reading(2.0, 201.0), Mark(1.5, "charge"), Reading(3.0, 202.0)]
    assert list(in_time(items)) == items
