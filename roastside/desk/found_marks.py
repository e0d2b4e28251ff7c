"""Charge and drop of a finished table in which nobody marked them."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from math import inf

from roastside.core.detect import PlungeDetector, charge_detector, drop_detector
from roastside.core.leaps import LeapJudge
from roastside.core.readings import Mark, MarkName, MarkSource, Reading

_ROASTS_AT_LEAST_S = 120.0
"""So long after charge no beans come out; what falls before is still the plunge."""

_EMPTY_AT_LEAST_S = 60.0
_ROAST_WARMS_C = 60.0

_NOTE = "found in the readings"


def found_marks(readings: Sequence[Reading], told: Collection[Mark]) -> list[Mark]:
    """The charge and drop that are not `told`, as the readings show them."""
    at_s = {mark.mark: mark.time_s for mark in told}
    judge = LeapJudge()
    points = [
        (reading.time_s, reading.bean_c)
        for reading in readings
        if reading.bean_c is not None and judge.believes(reading.time_s, reading.bean_c)
    ]
    found: dict[str, float] = {}
    charge_s = at_s.get(MarkName.CHARGE)
    if charge_s is None:
        end_s = min(at_s.values(), default=inf)
        charge_s = _plunge(charge_detector(), (p for p in points if p[0] <= end_s))
        if charge_s is None:
            return []
        found[MarkName.CHARGE] = charge_s
    if MarkName.DROP not in at_s:
        after_s = max(charge_s + _ROASTS_AT_LEAST_S, *at_s.values(), 0.0)
        drop_s = _plunge(drop_detector(), (p for p in points if p[0] >= after_s))
        if drop_s is not None:
            found[MarkName.DROP] = drop_s
    return [
        Mark(time_s, name, note=_NOTE, source=MarkSource.AUTO) for name, time_s in found.items()
    ]


def next_charge_s(readings: Sequence[Reading], drop_s: float | None) -> float | None:
    """When another roast is charged after the drop of the first, seconds; None if none is.

    It cools its probe, and then warms it as only a roast does.
    """
    if drop_s is None:
        return None
    judge = LeapJudge()
    points = [
        (reading.time_s, reading.bean_c)
        for reading in readings
        if reading.time_s >= drop_s + _EMPTY_AT_LEAST_S
        and reading.bean_c is not None
        and judge.believes(reading.time_s, reading.bean_c)
    ]
    charge_s = _plunge(charge_detector(), points)
    if charge_s is None:
        return None
    later = [point for point in points if point[0] > charge_s]
    lowest_s, lowest_c = min(later, key=lambda point: point[1], default=(0.0, inf))
    warmest_c = max((bean_c for at_s, bean_c in later if at_s > lowest_s), default=-inf)
    return charge_s if warmest_c - lowest_c > _ROAST_WARMS_C else None


def _plunge(detector: PlungeDetector, points: Iterable[tuple[float, float]]) -> float | None:
    found = (detector.update(time_s, bean_c) for time_s, bean_c in points)
    return next((at_s for at_s in found if at_s is not None), None)
