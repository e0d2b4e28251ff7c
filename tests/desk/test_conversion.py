"""A table becomes readings and marks on the clock of a roast, or is refused with the line."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from roastside.core.readings import Mark, MarkName, Reading
from roastside.desk.conversion import Converted, convert
from roastside.desk.guess import guess
from roastside.desk.layout import Layout
from roastside.desk.table import read_table
from roastside.desk.table_error import TableError
from roastside.desk.times import spread, times_of
from tests.desk import tables

MARCH = date(2026, 3, 4)
_SAME_C = 0.06
"""The tables are written with one decimal, some of them in °F."""


def converted(data: str | bytes, layout: Layout | None = None) -> Converted:
    table = read_table(data if isinstance(data, bytes) else data.encode())
    return convert(table, layout or guess(table).layout, MARCH)


def marks(found: Converted) -> dict[str, float]:
    return {item.mark: item.time_s for item in found.items if isinstance(item, Mark)}


@pytest.mark.parametrize(
    "data",
    [
        tables.seconds_table(),
        tables.semicolons(),
        tables.tabs_in_utf_16(),
        tables.milliseconds_without_names(),
        tables.moments_with_offset(),
    ],
    ids=["seconds", "semicolons", "utf-16", "milliseconds", "moments"],
)
def test_every_table_of_a_roast_gives_the_same_roast(data: str | bytes) -> None:
    found = converted(data)
    readings = [item for item in found.items if isinstance(item, Reading)]
    assert len(readings) == len(tables.points())
    for reading, (at_s, bean_c, air_c) in zip(readings, tables.points(), strict=True):
        assert reading.time_s == pytest.approx(at_s, abs=1e-6)
        assert reading.bean_c == pytest.approx(bean_c, abs=_SAME_C)
        assert reading.air_c == pytest.approx(air_c, abs=_SAME_C)
    assert marks(found)[MarkName.CHARGE] == pytest.approx(tables.CHARGE_S, abs=3.0)
    assert marks(found)[MarkName.DROP] == pytest.approx(tables.DROP_S, abs=3.0)


def test_the_files_own_clock_tells_when_it_began() -> None:
    assert converted(tables.semicolons()).began == tables.BEGAN
    offset = converted(tables.moments_with_offset()).began
    assert offset == datetime(2026, 3, 4, 6, 28, 9, tzinfo=UTC)
    assert converted(tables.seconds_table()).began is None
    above = f"Started 04.03.2026 07:28:09\n{tables.seconds_table()}"
    assert converted(above).began == tables.BEGAN


def test_words_of_an_event_column_become_marks_or_remarks() -> None:
    rows = tables.seconds_table("Time,Bean,Air").splitlines()
    said = {0: "Event", 31: "Beans in", 300: "=smells of bread", 301: "=smells of bread"}
    text = "\n".join(f"{row},{said.get(n, '')}" for n, row in enumerate(rows))
    found = converted(text)
    assert marks(found)[MarkName.CHARGE] == 30.0
    remarks = [i for i in found.items if isinstance(i, Mark) and i.mark == MarkName.COMMENT]
    assert [(mark.time_s, mark.note) for mark in remarks] == [(299.0, "=smells of bread")]


def test_own_words_for_a_mark() -> None:
    rows = tables.seconds_table("Time,Bean,Air").splitlines()
    text = "\n".join(f"{row},{'Pop!' if n == 562 else ''}" for n, row in enumerate(rows))
    text = text.replace("Air,", "Air,Event", 1)
    layout = Layout("Time", "Bean", event="Event", marks={"pop!": "first_crack"})
    assert marks(converted(text, layout))["first_crack"] == 561.0


def test_a_clock_that_passes_midnight_goes_on() -> None:
    times, first_s, _ = times_of(["23:59:59", "0:00:01", "x"], "clock", ".", MARCH)
    assert (times, first_s) == ([0.0, 2.0, None], 86399.0)


def test_seconds_since_1970_tell_the_moment() -> None:
    times, _, began = times_of(["1772605689", "1772605690.5"], "s", ".", MARCH)
    assert (times, began) == ([0.0, 1.5], datetime(2026, 3, 4, 6, 28, 9, tzinfo=UTC))


def test_a_clock_of_whole_seconds_is_spread_over_the_readings_it_stands_for() -> None:
    assert spread([0.0, 0.0, 1.0, 1.0, 5.0], 1.0) == [0.0, 0.5, 1.0, 1.5, 5.0]


def test_lines_without_a_time_are_left_out_and_counted() -> None:
    found = converted(tables.seconds_table() + "end of file,x,y\n")
    assert (found.skipped, found.readings) == (1, len(tables.points()))


def test_a_time_that_goes_back_is_refused_with_its_line() -> None:
    text = tables.seconds_table()
    twice = text + "".join(line + "\n" for line in text.splitlines()[1:20])
    with pytest.raises(TableError, match="goes back") as refused:
        converted(twice, Layout("Time (s)", "Bean (°C)"))
    assert refused.value.line == len(text.splitlines()) + 1


def test_a_column_without_temperatures_is_refused() -> None:
    text = "\n".join(f"{n},{'err' if n % 3 else 20 + n}" for n in range(100))
    with pytest.raises(TableError, match="bean temperature"):
        converted(f"Time,Bean\n0,20\n{text}", Layout("Time", "Bean"))


def test_temperatures_no_probe_can_have_are_missing() -> None:
    text = tables.seconds_table().replace("\n5.0,", "\n5.0,9", 1)
    found = [item for item in converted(text).items if isinstance(item, Reading)]
    assert found[5].bean_c is None
    assert found[6].bean_c is not None
