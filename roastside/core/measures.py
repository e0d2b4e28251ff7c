"""Situations as shares of a limit: from 1 on something is to be said."""

from __future__ import annotations

from math import nan

from roastside.core.alerts import Situation


def share(value: float | None, limit: float) -> float | None:
    """A value as a share of a signed limit; None is unknown."""
    return None if value is None else value / limit


def due(left_s: float | None, notice_s: float) -> float | None:
    """1 from `notice_s` before a moment on."""
    if left_s is None:
        return None
    return 1.0 if left_s <= notice_s else 0.0


def beyond(now: Situation, value: float | None, limit: float) -> float | None:
    """The value as a share of a signed limit, while beans are roasting past the turning point.

    A value not known there (past the end of the reference, say) is no evidence either way: NaN
    is neither beyond a limit nor back inside it.
    """
    if not now.on_course:
        return None
    return nan if value is None else value / limit


def drifting(now: Situation, limit: float, least_share: float) -> float | None:
    """Whether a minute from now the roast is surely beyond a signed limit, and on its way there.

    So it is only once it is off by `least_share` of the limit on that side already.
    """
    measured = beyond(now, now.leaving_c, limit)
    off = share(now.deviation_c, limit)
    return measured if measured is None or (off is not None and off >= least_share) else 0.0


def within(value: float | None, limit: float) -> float | None:
    """1 while the value is no further from 0 than the limit, falling towards 0 beyond it."""
    return None if value is None else limit / max(abs(value), limit * 1e-3)


def between(value: float | None, low: float, high: float) -> float | None:
    """1 between two limits, else 0."""
    if value is None:
        return None
    return 1.0 if low <= value < high else 0.0
