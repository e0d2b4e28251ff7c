"""Readings gathered in levels. Every truth is computed here."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.levels import MOST_LEVELS, Levels


def roast_c(at_s: float) -> float:
    return 100.0 + 0.3 * at_s - 1e-4 * at_s**2


def slope(at_s: float) -> float:
    return 0.3 - 2e-4 * at_s


def course(at_s: float) -> tuple[float, float]:
    return 90.0 + 0.35 * at_s, 0.35


@pytest.mark.parametrize("interval_s", [0.1, 0.5, 1.0, 2.0])
def test_levels_are_seen_off_the_course_and_as_they_are(interval_s: float) -> None:
    levels = Levels()
    for at_s in np.arange(0.0, 300.0, interval_s).tolist():
        assert levels.update(at_s, roast_c(at_s), slope_c_per_s=slope(at_s), course=course(at_s))
    views = levels.views(30)
    assert views.shape == (30, 2)
    at_s, off_c = np.array(levels.timed()).T
    assert len(at_s) == MOST_LEVELS
    assert views[:, 0] == pytest.approx(off_c[-30:])
    assert views[:, 1] == pytest.approx([roast_c(at) for at in at_s[-30:]], abs=1e-3)
    expected_c = np.array([course(at)[0] for at in at_s[-30:]])
    assert views[:, 0] == pytest.approx(views[:, 1] - expected_c, abs=1e-6)


def test_without_a_course_there_is_one_view() -> None:
    levels = Levels()
    for at_s in range(90):
        levels.update(at_s, roast_c(at_s))
    assert levels.views(30).shape == (30, 1)


def test_a_level_bridged_lies_between_its_neighbours_in_both_views() -> None:
    levels = Levels()
    for at_s in range(0, 100, 2):
        if at_s not in (80, 82):
            assert levels.update(
                at_s, roast_c(at_s), slope_c_per_s=slope(at_s), course=course(at_s)
            )
    at_s, off_c = np.array(levels.timed()).T
    assert np.diff(at_s) == pytest.approx([2.0] * (len(at_s) - 1))
    true_c = np.array([roast_c(at) for at in at_s])
    assert levels.views(len(at_s))[:, 1] == pytest.approx(true_c, abs=0.02)
    assert off_c == pytest.approx(true_c - [course(at)[0] for at in at_s], abs=0.02)


def test_what_can_not_be_bridged_is_told_and_nothing_taken_in() -> None:
    levels = Levels()
    for at_s in range(0, 100, 2):
        levels.update(at_s, roast_c(at_s), slope_c_per_s=slope(at_s))
    closed = levels.closed
    assert not levels.update(110.0, roast_c(110.0), slope_c_per_s=slope(110.0))
    assert levels.closed == closed
    levels.begin()
    assert len(levels) == levels.closed == 0
    assert levels.timed() == []
