"""The corridor straightened into a lane, for a report: how far the roast was from its reference."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from html import escape

import numpy as np

from roastside.core.units import Degrees
from roastside.desk.roast_story import RoastStory

LANE_HEIGHT = 76
_POINTS = 240
_AIR = 1.25
"""The lane is so much wider than what lies in it."""


def lane_picture(
    story: RoastStory, degrees: Degrees, top: float, x_of: Callable[[float], float]
) -> Iterable[str]:
    """SVG elements from `top` down, LANE_HEIGHT high; `x_of` places elapsed seconds.

    From where both curves have turned to where either ends. Nothing without a reference.
    """
    target, curve = story.target, story.roast.curve
    if target is None:
        return
    turned_s = story.figures.moments["turning_point"].at_s
    from_s = max(turned_s, target.turning_point_s)
    to_s = min(float(curve.time_s[-1]), float(target.elapsed_s[-1]))
    if to_s <= from_s:
        return
    at_s = np.linspace(from_s, to_s, _POINTS)
    own_c = np.interp(at_s, curve.time_s, curve.bean_c)
    away_c = own_c - np.interp(at_s, target.elapsed_s, target.bean_c)
    half_c = np.interp(at_s, target.elapsed_s, target.corridor_c)
    reach_c = _AIR * max(float(np.abs(away_c).max()), float(half_c.max()))
    middle = top + LANE_HEIGHT / 2.0

    def y_of(value_c: float) -> float:
        return middle - LANE_HEIGHT / 2.0 * value_c / reach_c

    def points(values_c: Iterable[float]) -> list[str]:
        return [
            f"{x_of(s):.1f},{y_of(c):.1f}" for s, c in zip(at_s.tolist(), values_c, strict=True)
        ]

    upper, lower = points(half_c.tolist()), points((-half_c).tolist())
    left, right = x_of(0.0), x_of(max(float(curve.time_s[-1]), float(target.elapsed_s[-1])))
    yield f'<polygon class="corridor" points="{" ".join([*upper, *reversed(lower)])}"/>'
    for edge in (upper, lower):
        yield f'<polyline class="edge" points="{" ".join(edge)}"/>'
    yield f'<line class="reference" x1="{left:.1f}" x2="{right:.1f}" y1="{middle}" y2="{middle}"/>'
    yield f'<polyline class="bean" points="{" ".join(points(away_c.tolist()))}"/>'
    most = f"{reach_c / _AIR * degrees.per_c:.1f}"
    for sign, value_c in (("+", reach_c / _AIR), ("−", -reach_c / _AIR)):
        words = escape(f"{sign}{most}")
        yield f'<text class="end" x="{left - 6:.1f}" y="{y_of(value_c) + 4:.1f}">{words}</text>'
    words = escape(f"{degrees.unit} from the reference")
    yield f'<text x="{left + 4:.1f}" y="{top + 10:.1f}">{words}</text>'
