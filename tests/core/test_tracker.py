"""The filter written out in plain numbers, against the same in matrices."""

from __future__ import annotations

from random import Random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.tracker import Tracker
from tests.core.roasts import steady


class MatrixFilter:
    """The textbook Kalman filter: predict F x, F P Fᵀ + Q; update in Joseph form.

    Bar-Shalom, Li and Kirubarajan, "Estimation with Applications to Tracking and Navigation"
    (2001), sections 5.2.3, 5.2.6 and 6.2.2.
    """

    def __init__(self, tracker: Tracker) -> None:
        self.time_s = tracker.time_s
        self.x = np.array([tracker.level, tracker.slope])
        self.p = np.diag([tracker.level_variance, tracker.slope_variance])

    def predict(self, time_s: float, q: float) -> None:
        dt, self.time_s = time_s - self.time_s, time_s
        f = np.array([[1.0, dt], [0.0, 1.0]])
        noise = q * np.array([[dt**3 / 3.0, dt**2 / 2.0], [dt**2 / 2.0, dt]])
        self.x = f @ self.x
        self.p = f @ self.p @ f.T + noise

    def update(self, value: float, variance: float) -> None:
        h = np.array([[1.0, 0.0]])
        gain = self.p @ h.T / (h @ self.p @ h.T + variance)
        self.x = self.x + (gain * (value - self.x[0])).ravel()
        left = np.eye(2) - gain @ h
        self.p = left @ self.p @ left.T + variance * gain @ gain.T


@pytest.mark.parametrize("seed", range(5))
def test_it_equals_the_matrix_filter_on_irregular_samples(seed: int) -> None:
    random = Random(seed)
    tracker = Tracker(0.0, 200.0, 1.0, 64.0)
    matrix = MatrixFilter(tracker)
    at_s = 0.0
    for _ in range(400):
        at_s += random.choice((0.0, 0.1, 0.5, random.uniform(0.01, 5.0), 40.0))
        q = 10.0 ** random.uniform(-6.0, 0.5)
        value, variance = 200.0 + random.gauss(0.0, 20.0), 10.0 ** random.uniform(-3.0, 1.0)
        tracker.predict(at_s, q)
        matrix.predict(at_s, q)
        if random.random() < 0.8:
            tracker.update(value, variance)
            matrix.update(value, variance)
        level, slope, level_variance, cross, slope_variance = tracker.state
        assert [level, slope] == pytest.approx(matrix.x, rel=1e-7, abs=1e-7)
        covariance = np.array([[level_variance, cross], [cross, slope_variance]])
        assert covariance == pytest.approx(matrix.p, rel=1e-7, abs=1e-9)


def test_looking_ahead_is_predicting_without_moving() -> None:
    tracker = Tracker(0.0, 100.0, 1.0, 0.01)
    for k in range(1, 20):
        tracker.predict(k * 0.5, 1e-4)
        tracker.update(100.0 + 0.2 * k, 0.1)
    before = tracker.state
    level, variance = tracker.ahead(30.0, 1e-4)
    assert tracker.state == before
    tracker.predict(tracker.time_s + 30.0, 1e-4)
    assert (level, variance) == pytest.approx((tracker.level, tracker.level_variance))


def test_no_time_passing_changes_nothing_and_a_reading_then_still_counts() -> None:
    tracker = Tracker(5.0, 100.0, 1.0, 1.0)
    before = tracker.state
    tracker.predict(5.0, 1.0)
    tracker.predict(4.0, 1.0)
    assert tracker.state == before
    tracker.update(102.0, 1.0)
    assert tracker.level == pytest.approx(101.0)  # equal variances: halfway, computed here


steps = st.tuples(
    st.floats(0.0, 5000.0),
    st.floats(1e-7, 10.0),
    st.floats(-500.0, 500.0),
    st.floats(1e-3, 1e6),
)


@steady
@given(st.lists(steps, max_size=40))
def test_the_covariance_stays_positive(path: list[tuple[float, float, float, float]]) -> None:
    tracker = Tracker(0.0, 20.0, 1.0, 64.0)
    at_s = 0.0
    for spacing_s, q, value, variance in path:
        at_s += spacing_s
        tracker.predict(at_s, q)
        tracker.update(value, variance)
        _, _, level_variance, cross, slope_variance = tracker.state
        assert level_variance > 0.0
        assert slope_variance > 0.0
        assert cross**2 <= level_variance * slope_variance * (1.0 + 1e-6)
