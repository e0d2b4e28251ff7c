"""The filter written out in plain numbers, against the same in matrices."""

from __future__ import annotations

from math import exp

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from roastside.core.singer import Motion, Track
from tests.core.roasts import steady


class MatrixFilter:
    """The textbook Kalman filter: predict F x + u, F P Fᵀ + Q; update in Joseph form.

    Bar-Shalom, Li and Kirubarajan, "Estimation with Applications to Tracking and Navigation"
    (2001), sections 5.2.3, 5.2.6 and 8.2 (Singer's model); Q for a white jerk, from 6.2.3.
    """

    def __init__(self, track: Track) -> None:
        self.x = np.array([track.x, track.v, track.a])
        self.p = np.diag([track.xx, track.vv, track.aa])

    def predict(self, dt: float, motion: Motion, q: float, dx: float, dv: float) -> None:
        tau = motion.lasts_s
        f = exp(-dt / tau)
        moves = np.array(
            [[1.0, dt, tau * tau * (dt / tau - 1.0 + f)], [0.0, 1.0, tau * (1.0 - f)], [0, 0, f]]
        )
        jerk = 2.0 * motion.sd_c_per_s2**2 / tau
        by_jerk = [
            [dt**5 / 20, dt**4 / 8, dt**3 / 6],
            [dt**4 / 8, dt**3 / 3, dt**2 / 2],
            [dt**3 / 6, dt**2 / 2, dt],
        ]
        by_slope = [[dt**3 / 3, dt**2 / 2, 0.0], [dt**2 / 2, dt, 0.0], [0.0, 0.0, 0.0]]
        self.x = moves @ self.x + np.array([dx, dv, 0.0])
        self.p = moves @ self.p @ moves.T + jerk * np.array(by_jerk) + q * np.array(by_slope)

    def update(self, value: float, variance: float) -> None:
        looks = np.array([1.0, 0.0, 0.0])
        gain = self.p @ looks / (self.p[0, 0] + variance)
        keeps = np.eye(3) - np.outer(gain, looks)
        self.x = self.x + gain * (value - self.x[0])
        self.p = keeps @ self.p @ keeps.T + variance * np.outer(gain, gain)


@steady
@given(
    steps=st.lists(
        st.tuples(
            st.floats(0.05, 2.0),
            st.floats(0.0, 1e-3),
            st.floats(-0.1, 0.1),
            st.floats(-5.0, 5.0),
            st.floats(0.01, 1.0),
        ),
        min_size=1,
        max_size=40,
    )
)
def test_it_equals_the_matrix_filter(
    steps: list[tuple[float, float, float, float, float]],
) -> None:
    motion = Motion(2e-3, 30.0)
    track = Track(100.0, 0.1, 1.0, 0.04, 4e-6)
    matrix = MatrixFilter(track)
    for dt, q, gain, off, variance in steps:
        track.predict(motion.over(dt, q), gain, gain / 3.0)
        matrix.predict(dt, motion, q, gain, gain / 3.0)
        value = track.x + off
        track.update(value, variance, 0.0)
        matrix.update(value, variance)
    found = [track.xx, track.xv, track.xa, track.vv, track.va, track.aa]
    assert [track.x, track.v, track.a] == pytest.approx(matrix.x.tolist(), rel=1e-6, abs=1e-9)
    assert found == pytest.approx(matrix.p[np.triu_indices(3)].tolist(), rel=1e-6, abs=1e-12)


def test_a_rounded_reading_far_inside_its_step_tells_hardly_anything() -> None:
    track = Track(100.0, 0.1, 0.0004, 0.04, 1e-6)
    track.update(100.0, 0.0025, 0.5)
    assert track.x == pytest.approx(100.0, abs=1e-6)
    assert track.xx == pytest.approx(0.0004, rel=1e-3)


def test_a_rounded_reading_that_has_just_turned_tells_the_edge() -> None:
    track = Track(100.0, 0.1, 0.25, 0.04, 1e-6)
    track.update(101.0, 0.0025, 0.5)
    assert 100.5 < track.x < 101.0
    assert track.xx < 0.25


def test_a_fine_step_is_as_good_as_none() -> None:
    fine, plain = Track(100.0, 0.1, 0.25, 0.04, 1e-6), Track(100.0, 0.1, 0.25, 0.04, 1e-6)
    fine.update(100.4, 0.04, 0.001)
    plain.update(100.4, 0.04, 0.0)
    assert (fine.x, fine.v, fine.xx) == pytest.approx((plain.x, plain.v, plain.xx), rel=1e-3)
