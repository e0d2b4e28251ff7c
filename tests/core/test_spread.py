"""How wide a corridor is made of how repeats differ."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.spread import LEAST_CORRIDOR_C, corridor, student_95


@pytest.mark.parametrize(
    ("freedom", "published"),
    # NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, column 0.95.
    [(5, 2.015), (6, 1.943), (7, 1.895), (8, 1.860), (10, 1.812), (20, 1.725), (100, 1.660)],
)
def test_students_quantile_is_the_published_one(freedom: int, published: float) -> None:
    assert student_95(freedom) == pytest.approx(published, abs=0.002)


def departures(random: np.random.Generator, roasts: int, spread_c: float) -> np.ndarray:
    """Slowly wandering departures of the same variance everywhere, shape (roasts, 1200)."""
    phase = random.uniform(0.0, 2.0 * np.pi, (roasts, 3, 1))
    size = random.normal(0.0, spread_c, (roasts, 3, 1)) * np.sqrt(2.0 / 3.0)
    waves = np.array([[1.0], [2.0], [3.0]]) * np.linspace(0.0, 2.0 * np.pi, 1200)
    return np.sum(size * np.cos(waves + phase), axis=1)


@pytest.mark.parametrize("roasts", [2, 3, 5, 12])
def test_nine_of_ten_further_repeats_lie_inside_at_each_moment(roasts: int) -> None:
    random = np.random.default_rng(7)
    inside = []
    for _ in range(300):
        all_c = departures(random, roasts + 1, 1.0)
        mean_c = all_c[:roasts].mean(axis=0)
        wide_c = corridor(all_c[:roasts] - mean_c, 100)
        inside.append(np.mean(np.abs(all_c[roasts] - mean_c)[100:] <= wide_c[100:]))
    assert 0.87 < np.mean(inside) < 0.96


def test_many_repeats_overrule_what_is_usual() -> None:
    random = np.random.default_rng(8)
    wide_c = corridor(departures(random, 40, 3.0), 0)
    assert np.mean(wide_c) == pytest.approx(1.684 * 3.0, rel=0.12)


def test_it_is_never_narrower_than_a_roaster_can_keep() -> None:
    assert corridor(np.zeros((60, 500)), 0).min() == LEAST_CORRIDOR_C
    assert corridor(np.zeros((2, 500)), 0).min() > LEAST_CORRIDOR_C


def test_the_plunge_does_not_widen_it() -> None:
    departures_c = np.zeros((3, 600))
    departures_c[:, :90] = [[-40.0], [0.0], [40.0]]
    wide_c = corridor(departures_c, 90)
    assert wide_c == pytest.approx(np.full(600, wide_c[300]))


def test_it_follows_where_repeats_differ_without_jumps() -> None:
    departures_c = np.zeros((4, 1200))
    departures_c[:, 600:] = [[-3.0], [-1.0], [1.0], [3.0]]
    wide_c = corridor(departures_c, 80)
    assert wide_c[1000] > 1.5 * wide_c[300]
    assert np.all(np.diff(wide_c) >= -1e-9)
    assert np.diff(wide_c).max() < 0.05
