from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.app.draw.scale import (
    AxisRange,
    clock,
    nice_seconds,
    nice_step,
    spread,
    ticks,
    value_label,
)


@pytest.mark.parametrize(
    ("at_least", "step"),
    [(1, 1), (1.1, 2), (2.1, 5), (5.1, 10), (37, 50), (0.3, 0.5), (0.02, 0.02), (200, 200)],
)
def test_steps_are_one_two_or_five_times_a_power_of_ten(at_least: float, step: float) -> None:
    assert nice_step(at_least) == pytest.approx(step)


@pytest.mark.parametrize(
    ("at_least", "step"), [(0.5, 1), (11, 15), (31, 60), (61, 120), (121, 300), (20000, 28800)]
)
def test_steps_of_time_are_those_of_a_clock(at_least: float, step: float) -> None:
    assert nice_seconds(at_least) == step


def test_ticks_are_the_multiples_in_the_range_ends_included() -> None:
    assert ticks(-4.0, 4.0, 2.0) == [-4, -2, 0, 2, 4]
    assert ticks(101, 199, 50) == [150]
    assert ticks(0.0, 0.3, 0.1) == pytest.approx([0, 0.1, 0.2, 0.3])


@pytest.mark.parametrize(
    ("value", "step", "label"),
    [(200, 50, "200"), (-2, 2, "−2"), (0.5, 0.5, "0.5"), (0, 0.5, "0.0"), (-1e-12, 1, "0")],
)
def test_labels_have_the_decimals_their_step_needs(value: float, step: float, label: str) -> None:
    assert value_label(value, step) == label


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0, "0:00"), (63, "1:03"), (59.6, "1:00"), (-5, "−0:05"), (-0.2, "0:00"), (3600, "60:00")],
)
def test_the_clock_reads_minutes_and_seconds(seconds: float, text: str) -> None:
    assert clock(seconds) == text


def test_an_axis_grows_at_once() -> None:
    axis = AxisRange(least=10)
    axis.fit(100, 180)
    low, high = axis.fit(90, 231)
    assert low <= 90
    assert high >= 231


def test_an_axis_does_not_move_for_a_small_change() -> None:
    axis = AxisRange(least=10)
    first = axis.fit(100, 200)
    assert axis.fit(104, 196) == first
    assert axis.fit(120, 190) == first


def test_an_axis_shrinks_when_it_is_far_too_large() -> None:
    axis = AxisRange(least=10)
    axis.fit(0, 200)
    low, high = axis.fit(90, 110)
    assert (low, high) == (90, 110)


def test_an_axis_keeps_its_range_when_nothing_is_known() -> None:
    axis = AxisRange(least=10)
    assert axis.fit(math.nan, math.nan) == (0, 10)
    first = axis.fit(20, 60)
    assert axis.fit(math.nan, math.nan) == first


def test_a_constant_gets_the_least_range_around_it() -> None:
    low, high = AxisRange(least=10).fit(93, 93)
    assert low <= 88
    assert high >= 98


@given(
    st.lists(st.tuples(st.floats(-50, 500), st.floats(0, 300)), min_size=1, max_size=20),
)
def test_whatever_came_before_the_data_is_in_sight(spans: list[tuple[float, float]]) -> None:
    axis = AxisRange(least=10)
    for low, size in spans:
        shown = axis.fit(low, low + size)
        assert shown[0] <= low + 1e-6
        assert shown[1] >= low + size - 1e-6
        assert shown[1] - shown[0] < 4 * max(size, 10)


@pytest.mark.parametrize(
    ("given_range", "drawn"),
    [((0, 5), (0, 5)), ((5, 5), (5, 6)), ((5, 2), (5, 6)), ((math.nan, math.nan), (0, 1))],
)
def test_a_range_that_cannot_be_drawn_is_widened(
    given_range: tuple[float, float], drawn: tuple[float, float]
) -> None:
    assert spread(*given_range) == drawn
