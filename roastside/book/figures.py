"""The figures of a roast that the book lists, from its readings and marks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from roastside.book.calm import CalmReadings
from roastside.core.plan import RoastPlan
from roastside.core.readings import MarkName, Stage
from roastside.core.smooth import Curve
from roastside.core.stages import Marks, stage_spans

_USUAL = RoastPlan()

TOLERANCE_C = _USUAL.tolerance_c
"""Half-width of the corridor where a reference gives none, °C."""

_CHARGE_OVER_S = 5.0


@dataclass(frozen=True, slots=True, eq=False)
class Target:
    """The curve a roast was held against: arrays of shape (n,), elapsed seconds rising.

    `corridor_c` is the half-width allowed at each point, °C.
    """

    elapsed_s: Curve
    bean_c: Curve
    corridor_c: Curve
    turning_point_s: float


@dataclass(frozen=True, slots=True)
class Figures:
    """Columns of the table `roast`: elapsed seconds, °C, shares 0 to 1; None is not known.

    `worst_departure_c`: the largest departure from the target between turning point and drop, with
    its sign, as calm readings tell it. `within_share`: the share of that time inside the corridor.
    """

    total_s: float | None = None
    drying_share: float | None = None
    browning_share: float | None = None
    development_s: float | None = None
    development_ratio: float | None = None
    charge_c: float | None = None
    turning_point_s: float | None = None
    turning_point_c: float | None = None
    yellowing_s: float | None = None
    yellowing_c: float | None = None
    first_crack_s: float | None = None
    first_crack_c: float | None = None
    drop_c: float | None = None
    worst_departure_c: float | None = None
    within_share: float | None = None
    readings: int = 0


def figures(time_s: Curve, bean_c: Curve, marks: Marks, target: Target | None = None) -> Figures:
    """The figures of a roast. Stream seconds and °C, shape (n,), in any order of time.

    Without a charge only the number of readings is known. A turning point or yellowing that
    nobody marked is looked for in the readings; one that a person withdrew is not.
    """
    charge_s = marks.time_s(MarkName.CHARGE)
    if charge_s is None:
        return Figures(readings=len(time_s))
    at_s = marks.all_elapsed_s()
    drop_s = at_s.get(MarkName.DROP)
    elapsed_s = time_s - charge_s
    before = (elapsed_s >= -_CHARGE_OVER_S) & (elapsed_s <= 0.0)
    during = (elapsed_s >= 0.0) & (elapsed_s <= (np.inf if drop_s is None else drop_s))
    roast = CalmReadings.of(elapsed_s[during], bean_c[during])

    turned_s = at_s.get(MarkName.TURNING_POINT)
    if turned_s is None and marks.wanted(MarkName.TURNING_POINT):
        turned_s = roast.lowest_s()
    yellow_s = at_s.get(MarkName.YELLOWING)
    if yellow_s is None and turned_s is not None and marks.wanted(MarkName.YELLOWING):
        yellow_s = roast.between(turned_s, np.inf).rises_through_s(_USUAL.yellowing_c)
        if yellow_s is not None:
            at_s[MarkName.YELLOWING] = yellow_s
    crack_s = at_s.get(MarkName.FIRST_CRACK)
    spans = {} if drop_s is None else stage_spans(at_s, drop_s)
    drying, browning, development = (
        spans.get(stage) for stage in (Stage.DRYING, Stage.BROWNING, Stage.DEVELOPMENT)
    )
    worst_c, within = None, None
    if target is not None and turned_s is not None and drop_s is not None:
        worst_c, within = _departure(roast, target, turned_s)
    return Figures(
        total_s=drop_s or None,
        # A stage whose end was not marked runs on into the next, and its share tells nothing.
        drying_share=drying.share if drying and browning else None,
        browning_share=browning.share if browning and development else None,
        development_s=development.seconds if development else None,
        development_ratio=development.share if development else None,
        charge_c=float(np.median(bean_c[before])) if before.any() else None,
        turning_point_s=turned_s,
        turning_point_c=roast.at_c(turned_s),
        yellowing_s=yellow_s,
        yellowing_c=roast.at_c(yellow_s),
        first_crack_s=crack_s,
        first_crack_c=roast.at_c(crack_s),
        drop_c=roast.at_c(drop_s),
        worst_departure_c=worst_c,
        within_share=within,
        readings=len(time_s),
    )


def _departure(
    roast: CalmReadings, target: Target, turned_s: float
) -> tuple[float | None, float | None]:
    """The worst departure, °C with its sign, and the share of time inside the corridor.

    Counted from the later of the two turning points on, as two curves that plunge a second apart
    are far from each other and nobody minds.
    """
    from_s = max(turned_s, target.turning_point_s)
    risen = roast.between(from_s, float(target.elapsed_s[-1]))
    away_c = risen.bean_c - np.interp(risen.time_s, target.elapsed_s, target.bean_c)
    time_s, calm_c, lasted_s = risen.calm(away_c)
    if not len(time_s):
        return None, None
    worst_c = float(calm_c[np.argmax(np.abs(calm_c))])
    inside = np.abs(calm_c) <= np.interp(time_s, target.elapsed_s, target.corridor_c)
    whole_s = float(lasted_s.sum())
    return worst_c, float(lasted_s[inside].sum()) / whole_s if whole_s else None
