"""Calibrations as settings.toml keeps them, a table for each channel:

[calibration.bean_c]
gain = 1.002
offset_c = -0.35
date = 2026-03-02
person = "Ines"
points = [[0.349, 0.0], [98.349, 98.196]]
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.calibrate import Calibration, Point
from roastside.record.format import AIR, BEAN, KNOWN_COLUMNS, TEMPERATURE_SUFFIX, is_key


def calibrations_from(kept: Any, path: Path) -> dict[str, Calibration]:
    """What the `calibration` table of the settings at `path` says, a calibration a channel.

    Raises UsageError, naming file, channel and what would fit.
    """
    if not isinstance(kept, Mapping):
        raise UsageError(f"{path}: calibration is not a table; write it as [calibration.bean_c]")
    for channel in kept:
        try:
            checked_channel(channel)
        except UsageError as error:
            raise UsageError(f"{path}: [calibration.{clean(channel, 40)}]: {error}") from error
    return {channel: _calibration(table, path, channel) for channel, table in kept.items()}


def checked_channel(name: str) -> str:
    """The name if it is that of a temperature's column. Raises UsageError."""
    taken = name in KNOWN_COLUMNS and name not in (BEAN, AIR)
    if taken or not is_key(name) or not name.endswith(TEMPERATURE_SUFFIX):
        raise UsageError(
            f"'{clean(name, 40)}' is no channel; write bean_c, air_c, or the name of a further "
            "probe in --wire, such as exhaust_c"
        )
    return name


def calibration_table(calibration: Calibration) -> dict[str, Any]:
    """A calibration as a table for settings.toml."""
    return {
        "gain": calibration.gain,
        "offset_c": calibration.offset_c,
        "date": calibration.date,
        "person": calibration.person,
        "points": [list(point) for point in calibration.points],
    }


def _calibration(table: Any, path: Path, channel: str) -> Calibration:
    where = f"{path}: calibration.{clean(channel, 40)}"
    if not isinstance(table, Mapping):
        raise UsageError(f"{where} is not a table; write it as [calibration.bean_c]")
    day = table.get("date")
    points = table.get("points", [])
    fits = (
        _number(table.get("gain"))
        and _number(table.get("offset_c"))
        # A moment is a date to Python, and no day to us.
        and (isinstance(day, date) and not isinstance(day, datetime))
        and isinstance(table.get("person", ""), str)
        and isinstance(points, list)
        and all(isinstance(p, list) and len(p) == 2 and all(map(_number, p)) for p in points)
    )
    if not fits or not isinstance(day, date):
        raise UsageError(
            f"{where} needs numbers gain and offset_c, a date such as 2026-03-02, and may have "
            "person in quotes and points such as [[0.4, 0.0]]; mend it, or take the table away "
            "and calibrate again"
        )
    try:
        return Calibration(
            gain=float(table["gain"]),
            offset_c=float(table["offset_c"]),
            date=day,
            person=clean(table.get("person", ""), 60),
            points=tuple(Point(float(reading), float(truth)) for reading, truth in points),
        )
    except UsageError as error:
        raise UsageError(f"{where}: {error}") from error


def _number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)
