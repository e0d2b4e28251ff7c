"""The way ahead of an estimate: what is expected of it, and how surely."""

from __future__ import annotations

import pytest

from roastside.core.mixture import Pooled
from roastside.core.path import Keeping, Path

A_MINUTE_S = 60.0
COURSE_SLOPE = 0.15


class StraightCourse:
    """Rises by nine degrees a minute, and turned long ago."""

    turned_s = 90.0

    def at(self, time_s: float) -> tuple[float, float]:
        """Level and slope."""
        return 120.0 + COURSE_SLOPE * (time_s - 300.0), COURSE_SLOPE

    def place_s(self, bean_c: float) -> float | None:
        """Where it has this temperature."""
        return 300.0 + (bean_c - 120.0) / COURSE_SLOPE


def beside(slope_off: float, slope_sd: float = 0.01, now_s: float = 300.0) -> Path:
    slope = COURSE_SLOPE + slope_off
    now = Pooled(x=120.0, v=slope, xx=0.04, xv=0.0, vv=slope_sd**2)
    return Path(now_s, now, StraightCourse())


def after(*slopes_off: float) -> Path:
    """The last of paths a second apart."""
    keeping = Keeping()
    for second, slope_off in enumerate(slopes_off):
        path = keeping.allowing(beside(slope_off, now_s=300.0 + second))
    return path


def test_a_roast_that_keeps_to_its_course_is_foreseen_more_surely() -> None:
    keeps, strays = after(*[0.002] * 60), after(*[0.05] * 60)
    assert keeps.variance(A_MINUTE_S) < strays.variance(A_MINUTE_S) / 3.0


def test_a_slope_that_crosses_the_courses_is_not_taken_for_certain() -> None:
    swings = [0.02, 0.01, 0.0, -0.01, -0.02, -0.01, 0.0, 0.01] * 8
    crossing, beyond = after(*swings[:-1]), after(*swings)
    assert beside(0.0).stands_out == 0.0
    assert crossing.variance(A_MINUTE_S) == pytest.approx(beyond.variance(A_MINUTE_S), rel=0.1)


def test_what_was_long_ago_is_forgotten() -> None:
    long_ago = after(*[0.05] * 60, *[0.001] * 120)
    assert long_ago.variance(A_MINUTE_S) < 1.1 * after(*[0.001] * 120).variance(A_MINUTE_S)


def test_a_departure_that_stands_out_goes_on_and_one_that_does_not_is_let_be() -> None:
    at = StraightCourse().at(300.0 + A_MINUTE_S)[0]
    assert beside(0.05).at(A_MINUTE_S) - at == pytest.approx(0.05 * 50.0, rel=0.1)
    assert abs(beside(0.002).at(A_MINUTE_S) - at) < 0.01


def test_doubt_grows_with_every_minute() -> None:
    strays = beside(0.05)
    doubts = [strays.variance(s) for s in (0.0, 30.0, 60.0, 120.0, 300.0)]
    assert doubts == sorted(doubts)


def test_without_a_course_there_is_nothing_to_keep_to() -> None:
    now = Pooled(x=120.0, v=0.15, xx=0.04, xv=0.0, vv=1e-4)
    alone = Path(300.0, now)
    assert Keeping().allowing(alone) == alone
    assert alone.stands_out == 1.0
