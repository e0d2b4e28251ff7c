"""The smoother on a wandering acceleration, against textbook matrices and a joint distribution."""

from __future__ import annotations

import numpy as np
import pytest

from roastside.core.jerk import log_likelihood, smooth

RANDOM = np.random.default_rng(5)
TIME_S = np.cumsum(RANDOM.uniform(0.3, 2.5, 60))
VALUE = 100.0 + 0.2 * TIME_S + 3.0 * np.sin(TIME_S / 20.0) + RANDOM.normal(0.0, 0.3, 60)
VARIANCE = RANDOM.uniform(0.02, 0.3, 60)
JERK = np.geomspace(1e-2, 1e-7, 60)
START = np.diag([100.0, 64.0, 0.0004])


def moved(dt: float) -> np.ndarray:
    return np.array([[1.0, dt, dt**2 / 2.0], [0.0, 1.0, dt], [0.0, 0.0, 1.0]])


def noise(dt: float) -> np.ndarray:
    """White jerk over dt, as Bar-Shalom, Li and Kirubarajan (2001), section 6.2.3, print it."""
    return np.array(
        [
            [dt**5 / 20.0, dt**4 / 8.0, dt**3 / 6.0],
            [dt**4 / 8.0, dt**3 / 3.0, dt**2 / 2.0],
            [dt**3 / 6.0, dt**2 / 2.0, dt],
        ]
    )


def textbook() -> tuple[np.ndarray, np.ndarray]:
    """Rauch, Tung and Striebel (AIAA Journal 3, 1965): states (n, 3), covariances (n, 3, 3)."""
    h = np.array([[1.0, 0.0, 0.0]])
    x, p, at = np.array([VALUE[0], 0.0, 0.0]), START.copy(), TIME_S[0]
    steps, predicted, filtered = [], [], []
    for now, value, variance, q in zip(TIME_S, VALUE, VARIANCE, JERK, strict=True):
        f = moved(now - at)
        x, p, at = f @ x, f @ p @ f.T + q * noise(now - at), now
        steps.append(f)
        predicted.append((x, p))
        gain = p @ h.T / (h @ p @ h.T + variance)
        x, p = x + (gain * (value - x[0])).ravel(), (np.eye(3) - gain @ h) @ p
        filtered.append((x, p))
    smoothed = [filtered[-1]]
    for k in range(len(TIME_S) - 2, -1, -1):
        gain = filtered[k][1] @ steps[k + 1].T @ np.linalg.inv(predicted[k + 1][1])
        later_x, later_p = smoothed[-1]
        x = filtered[k][0] + gain @ (later_x - predicted[k + 1][0])
        p = filtered[k][1] + gain @ (later_p - predicted[k + 1][1]) @ gain.T
        smoothed.append((x, p))
    states, covariances = zip(*smoothed[::-1], strict=True)
    return np.array(states), np.array(covariances)


def test_it_equals_the_textbook_smoother() -> None:
    found = smooth(TIME_S, VALUE, VARIANCE, JERK)
    states, covariances = textbook()
    assert found.level == pytest.approx(states[:, 0], abs=1e-6)
    assert found.slope == pytest.approx(states[:, 1], abs=1e-6)
    assert found.level_variance == pytest.approx(covariances[:, 0, 0], rel=1e-5)
    assert found.slope_variance == pytest.approx(covariances[:, 1, 1], rel=1e-5)


def test_its_likelihood_is_that_of_the_joint_distribution() -> None:
    """Of all values given the first three, from one covariance matrix of all of them."""
    jerk, count = 1e-4, len(TIME_S)
    states = np.zeros((count, 3, 3))
    covariance = np.zeros((count, count))
    for k in range(count):
        if k == 0:
            states[0] = START
        else:
            dt = TIME_S[k] - TIME_S[k - 1]
            states[k] = moved(dt) @ states[k - 1] @ moved(dt).T + jerk * noise(dt)
        for later in range(k, count):
            ahead = moved(TIME_S[later] - TIME_S[k])
            covariance[k, later] = covariance[later, k] = (ahead @ states[k])[0, 0]
    covariance += np.diag(VARIANCE)

    def joint(size: int) -> float:
        off = VALUE[:size] - VALUE[0]
        part = covariance[:size, :size]
        return -0.5 * float(off @ np.linalg.solve(part, off) + np.linalg.slogdet(part)[1])

    told = log_likelihood(TIME_S, VALUE, VARIANCE, jerk)
    assert float(told.sum()) == pytest.approx(joint(count) - joint(3), abs=1e-6)


def test_two_values_at_one_time_are_averaged_by_their_worth() -> None:
    time_s = np.array([0.0, 1.0, 1.0, 2.0])
    value = np.array([10.0, 10.0, 13.0, 10.0])
    found = smooth(time_s, value, np.array([1e-4, 2.0, 1.0, 1e-4]), np.full(4, 100.0))
    assert found.level[1] == pytest.approx(found.level[2])
    assert 10.0 < found.level[1] < 12.0
