"""Rates of rise as a filter tells them of known roasts, and how far off they are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from roastside.core.compare import Comparator, LaidReference
from roastside.core.course import Course
from roastside.core.rate import Estimate, RateFilter
from roastside.core.readings import Reading
from roastside.core.reference import Reference
from tests.core.roasts import Probe, Truth, readings

HOUSE = Truth()
SETTLED_S = 120.0
"""Well past the turning point, where a person reads the rate."""


def estimates(
    items: Sequence[Reading], plunge_at_s: float | None, course: Course | None = None
) -> list[Estimate]:
    rate_filter = RateFilter(plunge_at_s, course)
    found = (rate_filter.update(r.time_s, r.bean_c) for r in items if r.bean_c is not None)
    return [estimate for estimate in found if estimate is not None]


def roast(probe: Probe, truth: Truth = HOUSE) -> list[Reading]:
    whole = readings(truth, probe, until_s=truth.charge_s + truth.drop_s)
    return [r for r in whole if r.time_s >= truth.charge_s]


def laid(reference: Reference, truth: Truth) -> LaidReference:
    return LaidReference(Comparator(reference), truth.charge_s)


def errors(found: Sequence[Estimate], truth: Truth = HOUSE) -> np.ndarray:
    """Rate error, °C/min, once settled; shape (n,)."""
    settled = [e for e in found if e.time_s - truth.charge_s > SETTLED_S]
    return np.array(
        [e.rate_c_per_min - 60.0 * truth.slope_c_per_s(e.time_s - truth.charge_s) for e in settled]
    )
