"""The development target of a roast."""

from __future__ import annotations

import pytest

from roastside.core.plan import RoastPlan


def test_seconds_asked_for_win_over_everything() -> None:
    plan = RoastPlan(development_s=95.0, development_ratio=0.3)
    assert plan.development_target_s(500.0, 110.0) == 95.0
    assert plan.development_target_s(None, None) == 95.0


def test_a_ratio_is_the_share_of_the_whole_roast() -> None:
    target_s = RoastPlan(development_ratio=0.2).development_target_s(480.0, 110.0)
    # 480 s are the other four fifths, so 120 s of 600: computed here.
    assert target_s == pytest.approx(120.0)


def test_without_either_the_reference_says() -> None:
    assert RoastPlan().development_target_s(480.0, 110.0) == 110.0
    assert RoastPlan().development_target_s(None, 110.0) == 110.0


def test_nobody_is_told_to_drop_by_a_target_that_nobody_set() -> None:
    assert RoastPlan().development_target_s(480.0, None) is None
    assert RoastPlan().development_target_s(None, None) is None


@pytest.mark.parametrize("ratio", [0.0, 1.0, -0.2, 1.5])
def test_a_ratio_that_is_no_share_gives_no_target(ratio: float) -> None:
    assert RoastPlan(development_ratio=ratio).development_target_s(480.0, None) is None
