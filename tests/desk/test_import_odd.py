"""Tables as they come: each is read right, or refused with a sentence that says where."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest

from roastside.core.readings import Mark, MarkName
from roastside.desk.conversion import Converted, convert
from roastside.desk.guess import guess
from roastside.desk.table import read_table
from roastside.desk.table_error import TableError
from tests.desk import tables

MARCH = date(2026, 3, 4)
AT = datetime(2026, 3, 4, 6, 40, tzinfo=UTC)
POINTS = tables.points()
PLAIN = tables.seconds_table("Time (s),Bean,Air")


def table(names: str, time: Callable[[float], str]) -> str:
    rows = (f"{time(s)},{bean:.2f},{air:.2f}" for s, bean, air in POINTS)
    return "\n".join([names, *rows]) + "\n"


def converted(data: str | bytes) -> Converted:
    found = read_table(data if isinstance(data, bytes) else data.encode())
    guessed = guess(found)
    assert guessed.unclear == ()
    return convert(found, guessed.layout, MARCH)


def since_1970(units_in_a_second: int) -> str:
    start = int(AT.timestamp())
    return table("t,Bean,Air", lambda s: str(int((start + s) * units_in_a_second)))


def at(form: str, began: datetime = AT) -> str:
    return table("When,Bean,Air", lambda s: (began + timedelta(seconds=s)).strftime(form))


def lined_up(names: str) -> str:
    rows = (f"{s:8.1f}   {bean:13.2f}   {air:12.2f}" for s, bean, air in POINTS)
    return "\n".join([names, *rows]) + "\n"


def newest_first(text: str) -> str:
    names, *rows = text.splitlines()
    return "\n".join([names, *reversed(rows)]) + "\n"


ODD: dict[str, str | bytes] = {
    "seconds since 1970": since_1970(1),
    "milliseconds since 1970": since_1970(10**3),
    "microseconds since 1970": since_1970(10**6),
    "nanoseconds since 1970": since_1970(10**9),
    "microseconds": table("Time,Bean,Air", lambda s: str(int(s * 1e6))),
    "hours": table("Time (h),Bean,Air", lambda s: f"{s / 3600.0:.7f}"),
    "days of a spreadsheet": table("Time,Bean,Air", lambda s: f"{46085.3 + s / 86400.0:.9f}"),
    "over midnight": at("%H:%M:%S", AT.replace(hour=23, minute=55)),
    "twelve hours, past one": at("%I:%M:%S", AT.replace(hour=12, minute=55)),
    "a short ISO date": at("%Y%m%dT%H%M%S"),
    "a month by name": table(
        "When,Bean,Air", lambda s: f"04 Mar 2026 {AT + timedelta(seconds=s):%H:%M:%S}"
    ),
    "negative": table("Time (s),Bean,Air", lambda s: f"{s - 120.0:.1f}"),
    "thousands": table("Time (s),Bean,Air", lambda s: f'"{s + 900.0:,.1f}"'),
    "carriage returns only": PLAIN.replace("\n", "\r"),
    "UTF-16 without its mark": PLAIN.encode("utf-16-le"),
    "zeros of a power cut": PLAIN.encode() + bytes(512),
    "bars": PLAIN.replace(",", "|"),
    "blanks": table("Time Bean Air", lambda s: f"{s:.1f}").replace(",", " "),
    "lined up by blanks": lined_up("Time (s)   Bean temp (C)   Air temp (C)"),
    "newest first": newest_first(PLAIN),
    "newest first, since 1970": newest_first(since_1970(1)),
    "newest first, by the clock": newest_first(at("%H:%M:%S")),
    "newest first, by date": newest_first(at("%Y-%m-%d %H:%M:%S")),
    "empty columns": table(",Time,,Bean,Air", lambda s: f",{s:.1f},").replace("\n", ",,,,\n"),
    "a fault in the first line": PLAIN.replace("204.75,", "---,", 1),
    "units with a space": table("Time,Bean,Air\nsec,deg C,deg C", lambda s: f"{s:.1f}"),
    "a footer": PLAIN + "\nEnd of log\nMax,223.1,240.1\n",
}


@pytest.mark.parametrize("name", list(ODD))
def test_an_odd_table_is_the_same_roast(name: str) -> None:
    found = converted(ODD[name])
    assert found.readings == len(POINTS)
    assert found.lasted_s == pytest.approx(POINTS[-1][0], abs=0.01)
    marks = {item.mark: item.time_s for item in found.items if isinstance(item, Mark)}
    between_s = marks[MarkName.DROP] - marks[MarkName.CHARGE]
    assert between_s == pytest.approx(tables.DROP_S - tables.CHARGE_S, abs=3.0)


@pytest.mark.parametrize("units", [1, 10**3, 10**6, 10**9])
def test_a_count_since_1970_tells_when_it_began(units: int) -> None:
    assert converted(since_1970(units)).began == AT


def test_six_hours_at_one_a_second_are_not_taken_for_milliseconds() -> None:
    longer = "".join(f"{s},25.0,25.0\n" for s in range(747, 21_600))
    found = converted(table("Time,Bean,Air", lambda s: f"{s:.0f}") + longer)
    assert found.lasted_s == pytest.approx(21_599.0, abs=2.0)


def test_a_second_roast_is_refused_at_its_line() -> None:
    again = "".join(f"{s + 1800.0:.1f},{bean:.2f},{air:.2f}\n" for s, bean, air in POINTS)
    with pytest.raises(TableError, match="another roast begins here") as refused:
        converted(PLAIN + again)
    assert refused.value.line is not None
    assert refused.value.line > len(POINTS)


def test_a_quotation_mark_that_nobody_closed_swallows_no_readings() -> None:
    with pytest.raises(TableError, match="quotation mark") as refused:
        read_table(PLAIN.replace("\n100.0", '\n"100.0', 1).encode())
    assert refused.value.line == 102


def test_what_lasts_no_minute_is_refused() -> None:
    rows = "".join(f"{k / 1000:.3f},{150 + k}\n" for k in range(100))
    found = read_table(("Time (s),Bean (C)\n" + rows).encode())
    with pytest.raises(TableError, match="time_unit"):
        convert(found, guess(found).layout, MARCH)


def test_a_countdown_is_not_turned_round() -> None:
    last_s = POINTS[-1][0]
    found = read_table(table("Time remaining,Bean,Air", lambda s: f"{last_s - s:.1f}").encode())
    with pytest.raises(TableError, match="the time goes back"):
        convert(found, guess(found).layout, MARCH)


@pytest.mark.parametrize(
    "above", ["Start: 2026-03-02 06:41:07", "Batch 12, 2 coffees", "Charge 1500 g at 6 41"]
)
@pytest.mark.parametrize("separator", [",", ", ", "\t", ";", " | "])
def test_blanks_part_no_columns_where_something_else_does(above: str, separator: str) -> None:
    rows = (
        separator.join((f"{AT + timedelta(seconds=s):%Y-%m-%d %H:%M:%S}", f"{bean:.0f}"))
        for s, bean, _ in POINTS
    )
    text = "\n".join([above, separator.join(("Time", "Bean Temp")), *rows]) + "\n"
    found = read_table(text.encode())
    assert [name.strip() for name in found.names] == ["Time", "Bean Temp"]
    assert convert(found, guess(found).layout, MARCH).readings == len(POINTS)
