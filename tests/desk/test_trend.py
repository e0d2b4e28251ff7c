"""Trends are found by published statistics, and chance is told from drift."""

from __future__ import annotations

from itertools import permutations

import numpy as np
import pytest

from roastside.desk.trend import holm, mann_kendall, theil_sen


def test_the_slope_is_the_median_of_all_slopes_and_one_wild_value_does_not_turn_it() -> None:
    x = np.arange(9.0)
    y = 3.0 + 0.5 * x
    y[8] = 90.0
    assert theil_sen(x, y) == pytest.approx(0.5)


def test_points_of_the_same_time_make_no_pair() -> None:
    assert theil_sen(np.array([0.0, 0.0, 1.0]), np.array([0.0, 5.0, 7.0])) == 4.5
    with pytest.raises(ValueError, match="different times"):
        theil_sen(np.array([1.0, 1.0]), np.array([0.0, 5.0]))


@pytest.mark.parametrize(
    ("values", "one_sided"),
    [
        # Kendall, "Rank Correlation Methods" (1970), appendix table 1: the probability that the
        # score reaches 6 of 4 values is 0.042; 10 of 5 values 0.0083; 8 of 5 values 0.042.
        ([1.0, 2.0, 3.0, 4.0], 0.042),
        ([1.0, 2.0, 3.0, 4.0, 5.0], 0.0083),
        ([2.0, 1.0, 3.0, 4.0, 5.0], 0.042),
    ],
)
def test_a_few_values_are_judged_exactly(values: list[float], one_sided: float) -> None:
    assert mann_kendall(values)[1] / 2.0 == pytest.approx(one_sided, abs=0.0005)


def test_the_exact_probability_is_the_share_of_all_orders() -> None:
    def score(order: tuple[int, ...]) -> int:
        return sum((b > a) - (b < a) for k, a in enumerate(order) for b in order[k + 1 :])

    mine = (2, 0, 1, 4, 3, 5)
    scores = [abs(score(order)) for order in permutations(range(6))]
    share = sum(each >= abs(score(mine)) for each in scores) / len(scores)
    tau, by_chance = mann_kendall([float(each) for each in mine])
    assert by_chance == pytest.approx(share)
    assert tau == pytest.approx(score(mine) / 15)


def test_many_values_are_judged_nearly_as_exactly() -> None:
    rng = np.random.default_rng(7)
    values = rng.normal(size=10) + 0.1 * np.arange(10)
    tau, exact = mann_kendall(values.tolist())
    # The same again, with a tie that sends it the other way.
    tied = np.sort(values)[0] - 1.0
    _, normal = mann_kendall([tied, tied, *values.tolist()])
    assert 0.0 < tau < 1.0
    assert 0.0 < normal < exact, "two lower values at the beginning make the rise surer"


def test_chance_is_taken_for_a_trend_as_often_as_it_is_said_to_be() -> None:
    rng = np.random.default_rng(11)
    found = [mann_kendall(rng.normal(size=24).tolist())[1] < 0.05 for _ in range(2000)]
    assert 0.035 < float(np.mean(found)) < 0.062


def test_values_that_are_all_alike_have_no_trend() -> None:
    assert mann_kendall([2.0] * 6) == (0.0, 1.0)


def test_several_tests_are_held_to_one_level_together() -> None:
    # By hand: 0.05 parted by 4, 3, 2, 1; the third smallest, 0.03 > 0.025, ends it.
    assert holm([0.04, 0.01, 0.03, 0.005]) == [False, True, False, True]
    assert holm([]) == []
