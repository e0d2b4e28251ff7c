"""Tables as loggers of an invented workshop write them, all of the same roast."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from pathlib import Path

from roastside.record.reader import read_roast_file

GOOD = Path(__file__).resolve().parents[2] / "fixtures" / "house-good-repeat-1.csv"
CHARGE_S, CRACK_S, DROP_S = 30.0, 591.5, 703.5
"""Of that roast, as its own marks tell, in seconds of the recording."""

BEGAN = datetime(2026, 3, 4, 7, 28, 9)

Point = tuple[float, float, float]
"""Seconds, bean and air temperature, °C."""


def points(every: int = 2) -> list[Point]:
    """The readings of the roast, one of so many."""
    rows = [row for row in read_roast_file(GOOD).rows if row.bean_c is not None]
    return [(r.time_s, r.bean_c or 0.0, r.air_c or 0.0) for r in rows[::every]]


def fahrenheit(value_c: float) -> float:
    return value_c * 1.8 + 32.0


def seconds_table(names: str = "Time (s),Bean (°C),Air (°C)") -> str:
    return _lines([names], (f"{s:.1f},{bean:.2f},{air:.2f}" for s, bean, air in points()))


def semicolons() -> bytes:
    """Decimal commas, Latin-1, a date and a time of day, units below the names, and a preamble."""
    head = ["Workshop logger 4", "Serial;0042", "", "Date;Time;Beans;Air", ";hh:mm:ss;°C;°C"]
    rows = []
    for at_s, bean, air in points():
        at = BEGAN + timedelta(seconds=at_s)
        warm = f"{bean:.1f};{air:.1f}".replace(".", ",")
        rows.append(f"{at:%d.%m.%Y};{at:%H:%M:%S};{warm}")
    return _lines(head, rows).replace("\n", "\r\n").encode("latin-1")


def tabs_in_utf_16() -> bytes:
    """Minutes and seconds, °F told by the names, first crack in words."""
    rows = []
    for at_s, bean, air in points():
        said = "1st crack" if at_s == round(CRACK_S - 0.5) else ""
        clock = f"{int(at_s) // 60}:{int(at_s) % 60:02d}"
        rows.append(f"{clock}\t{fahrenheit(bean):.1f}\t{fahrenheit(air):.1f}\t{said}")
    return _lines(["Elapsed\tBean (F)\tAir (F)\tEvent"], rows).encode("utf-16")


def milliseconds_without_names() -> str:
    """Two temperatures of which nobody says which is which, in °F."""
    rows = (
        f"{s * 1e3:.0f},{fahrenheit(air):.1f},{fahrenheit(bean):.1f}" for s, bean, air in points()
    )
    return _lines(["Time(ms),Temp 1,Temp 2"], rows)


def moments_with_offset() -> str:
    rows = (
        f"{(BEGAN + timedelta(seconds=s)).isoformat()}+01:00,{bean:.2f},{air:.2f}"
        for s, bean, air in points()
    )
    return _lines(["timestamp,bean,inlet air"], rows)


def _lines(head: list[str], rows: Iterable[str]) -> str:
    return "\n".join([*head, *rows]) + "\n"
