"""A roast and a wave followed together, against the same in matrices of real numbers."""

from __future__ import annotations

from math import cos, exp, pi, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from roastside.core.mixture import Hypothesis, Mixture
from roastside.core.singer import Motion
from roastside.core.waving import Wave, WavingTrack, pooled_wave
from tests.core.roasts import steady

MOTION = Motion(2e-3, 30.0)
WAVE = Wave(1.0 / 31.0, 0.02, 40.0)

Matrix = NDArray[np.float64]


class MatrixFilter:
    """The textbook Kalman filter of level, slope, acceleration and the two states of a cycle.

    Motion: Bar-Shalom, Li and Kirubarajan, "Estimation with Applications to Tracking and
    Navigation" (2001), sections 5.2.3 and 8.2. Cycle: Harvey, "Forecasting, Structural Time Series
    Models and the Kalman Filter" (1989), section 2.3: a rotation, damped, and noise of one
    variance in both states.
    """

    def __init__(self, track: WavingTrack) -> None:
        self.x = np.array([track.x, track.v, track.a, 0.0, 0.0])
        self.p = np.diag([track.xx, track.vv, track.aa, WAVE.variance, WAVE.variance])

    def predict(self, dt: float, dx: float, dv: float) -> None:
        tau, jerk = MOTION.lasts_s, 2.0 * MOTION.sd_c_per_s2**2 / MOTION.lasts_s
        f, kept, turn = exp(-dt / tau), exp(-dt / WAVE.lasts_s), 2.0 * pi * dt * WAVE.frequency_hz
        moves, noise = np.zeros((5, 5)), np.zeros((5, 5))
        moves[:3, :3] = [
            [1.0, dt, tau * tau * (dt / tau - 1.0 + f)],
            [0.0, 1.0, tau * (1.0 - f)],
            [0.0, 0.0, f],
        ]
        moves[3:, 3:] = kept * np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])
        noise[:3, :3] = jerk * np.array(
            [
                [dt**5 / 20, dt**4 / 8, dt**3 / 6],
                [dt**4 / 8, dt**3 / 3, dt**2 / 2],
                [dt**3 / 6, dt**2 / 2, dt],
            ]
        )
        noise[3:, 3:] = WAVE.variance * (1.0 - kept**2) * np.eye(2)
        self.x = moves @ self.x + np.array([dx, dv, 0.0, 0.0, 0.0])
        self.p = moves @ self.p @ moves.T + noise

    def update(self, value: float, variance: float) -> None:
        looks = np.array([1.0, 0.0, 0.0, 1.0, 0.0])
        gain = self.p @ looks / (looks @ self.p @ looks + variance)
        keeps = np.eye(5) - np.outer(gain, looks)
        self.x = self.x + gain * (value - looks @ self.x)
        self.p = keeps @ self.p @ keeps.T + variance * np.outer(gain, gain)


def mean(track: WavingTrack) -> Matrix:
    return np.array([track.x, track.v, track.a, track.z.real, track.z.imag])


def covariance(track: WavingTrack) -> Matrix:
    """The five real states' covariance that these complex moments stand for."""
    real, imaginary = 0.5 * (track.zz + track.z2.real), 0.5 * (track.zz - track.z2.real)
    both = 0.5 * track.z2.imag
    return np.array(
        [
            [track.xx, track.xv, track.xa, track.zx.real, track.zx.imag],
            [track.xv, track.vv, track.va, track.zv.real, track.zv.imag],
            [track.xa, track.va, track.aa, track.za.real, track.za.imag],
            [track.zx.real, track.zv.real, track.za.real, real, both],
            [track.zx.imag, track.zv.imag, track.za.imag, both, imaginary],
        ]
    )


def begun() -> WavingTrack:
    track = WavingTrack(100.0, 0.1, 1.0, 0.04, MOTION.sd_c_per_s2**2)
    track.begin(WAVE)
    return track


def move(track: WavingTrack, dt: float, dx: float = 0.0, dv: float = 0.0) -> None:
    step = MOTION.over(dt, 0.0)
    track.predict(step, dx, dv)
    track.turn(step, *WAVE.over(dt))


steps = st.lists(
    st.tuples(
        st.floats(0.05, 2.0), st.floats(-0.1, 0.1), st.floats(-5.0, 5.0), st.floats(0.01, 1.0)
    ),
    min_size=1,
    max_size=40,
)


@steady
@given(steps=steps)
def test_it_equals_the_matrix_filter(steps: list[tuple[float, float, float, float]]) -> None:
    track = begun()
    matrix = MatrixFilter(track)
    for dt, gain, off, variance in steps:
        move(track, dt, gain, gain / 3.0)
        matrix.predict(dt, gain, gain / 3.0)
        expected_c, expected_variance = track.reading()
        assert expected_c == pytest.approx(matrix.x[0] + matrix.x[3], rel=1e-9)
        looks = np.array([1.0, 0.0, 0.0, 1.0, 0.0])
        assert expected_variance == pytest.approx(looks @ matrix.p @ looks, rel=1e-6)
        track.update(expected_c + off, variance, 0.0)
        matrix.update(expected_c + off, variance)
    assert mean(track) == pytest.approx(matrix.x, rel=1e-6, abs=1e-8)
    assert covariance(track) == pytest.approx(matrix.p, rel=1e-5, abs=1e-10)


def test_a_fine_step_is_as_good_as_none() -> None:
    plain, rounded = begun(), begun()
    for k in range(60):
        for track, half_step in ((plain, 0.0), (rounded, 1e-4)):
            move(track, 1.0)
            track.update(100.0 + 0.1 * k + 0.2 * sin(k / 5.0), 0.04, half_step)
    assert mean(rounded) == pytest.approx(mean(plain), rel=1e-3)
    assert covariance(rounded) == pytest.approx(covariance(plain), rel=1e-3, abs=1e-8)


def test_tracks_are_mixed_as_any_gaussians_are() -> None:
    """Mean and covariance of a mixture are those of its parts and of the means about the mean."""
    one, other = begun(), begun()
    for k in range(20):
        for track, reads_c in ((one, 100.0 + 0.2 * k), (other, 101.0 + 0.3 * sin(k / 3.0))):
            move(track, 1.0)
            track.update(reads_c, 0.1, 0.0)
    weights = [0.3, 0.7]
    means = [mean(track) for track in (one, other)]
    together = sum(w * m for w, m in zip(weights, means, strict=True))
    spread = sum(
        w * (covariance(track) + np.outer(m - together, m - together))
        for w, m, track in zip(weights, means, (one, other), strict=True)
    )
    x, v, a = together[:3].tolist()
    pool = pooled_wave([one, other], weights, x, v, a)
    assert [pool.z.real, pool.z.imag] == pytest.approx(together[3:].tolist())
    found = [[pool.zx, pool.zv, pool.za]]
    assert np.real(found[0]) == pytest.approx(spread[:3, 3])
    assert np.imag(found[0]) == pytest.approx(spread[:3, 4])
    assert 0.5 * (pool.zz + pool.z2.real) == pytest.approx(spread[3, 3])
    assert 0.5 * (pool.zz - pool.z2.real) == pytest.approx(spread[4, 4])
    assert 0.5 * pool.z2.imag == pytest.approx(spread[3, 4])


def mixture(wave: Wave | None) -> Mixture:
    hypotheses = (Hypothesis(Motion(5e-4, 40.0), 0.6), Hypothesis(MOTION, 0.4))
    return Mixture(hypotheses, 0.0, 100.0, 0.0, 1.0, 0.01, 150.0, wave)


def wave_c(mixed: Mixture) -> float:
    """What all tracks together say of the wave in a reading."""
    return mixed.reading()[0] - mixed.pooled().x


def followed(wave: Wave | None) -> Mixture:
    """300 s of a rise of 0.2 °C/s with a wave of 31 s on it."""
    mixed = mixture(wave)
    for k in range(1, 301):
        mixed.predict(float(k), 0.0, [(0.0, 0.0)] * 2)
        mixed.update(100.0 + 0.2 * k + 0.2 * sin(2.0 * pi * k / 31.0), 1e-3, 0.0)
    return mixed


def test_a_wave_is_not_taken_for_the_roasts_slope() -> None:
    true_wave_c = 0.2 * sin(2.0 * pi * 300.0 / 31.0)
    knowing, not_knowing = followed(WAVE), followed(None)
    off, off_unknown = (abs(each.pooled().v - 0.2) for each in (knowing, not_knowing))
    assert off < 0.2 * off_unknown
    assert wave_c(knowing) == pytest.approx(true_wave_c, abs=0.05)
    reading_c, variance = knowing.reading()
    assert reading_c == pytest.approx(160.0 + true_wave_c, abs=0.05)
    assert variance > 0.0


def test_a_wave_that_comes_to_be_believed_in_leaves_what_was_known_of_the_roast() -> None:
    mixed = followed(None)
    before = mixed.pooled()
    mixed.with_wave(WAVE)
    assert mixed.pooled() == before
    value, variance = mixed.reading()
    assert value == pytest.approx(before.x)
    assert variance == pytest.approx(before.xx + WAVE.variance)
    for k in range(301, 601):
        mixed.predict(float(k), 0.0, [(0.0, 0.0)] * 2)
        mixed.update(100.0 + 0.2 * k + 0.2 * sin(2.0 * pi * k / 31.0), 1e-3, 0.0)
    assert mixed.pooled().v == pytest.approx(0.2, abs=0.01)
    assert wave_c(mixed) == pytest.approx(0.2 * sin(2.0 * pi * 600.0 / 31.0), abs=0.05)


@pytest.mark.parametrize("wave", [None, WAVE])
def test_what_is_to_be_read_is_known_as_well_where_all_but_one_weight_is_least(
    wave: Wave | None,
) -> None:
    mixed = followed(wave)
    mixed.weights = [1.0, 1e-6]
    value, variance = mixed.tracks[0].reading()
    assert mixed.reading() == (pytest.approx(value, abs=1e-5), pytest.approx(variance, rel=1e-2))


def test_a_copy_goes_on_by_itself() -> None:
    mixed = followed(WAVE)
    before, reading = mixed.pooled(), mixed.reading()
    copied = mixed.copied()
    copied.predict(330.0, 0.0, [(0.0, 0.0)] * 2)
    copied.update(200.0, 1e-3, 0.0)
    assert mixed.pooled() == before
    assert mixed.reading() == reading


def test_without_the_wave_what_is_known_of_the_roast_remains() -> None:
    mixed = followed(WAVE)
    before = mixed.pooled()
    mixed.without_wave()
    assert mixed.wave is None
    mixed.predict(301.0, 0.0, [(0.0, 0.0)] * 2)
    after = mixed.pooled()
    assert after.v == pytest.approx(before.v, abs=0.01)
    assert mixed.reading()[0] == pytest.approx(after.x)
    mixed.without_wave()
    assert mixed.pooled() == after


def test_tracks_far_apart_that_are_hardly_believed_leave_no_variance_below_nought() -> None:
    mixed = mixture(None)
    for k in range(1, 40):
        mixed.predict(float(k), 0.0, [(0.0, 0.0), (0.0, 5.0)])
        mixed.update(100.0 + 0.2 * k, 1e-4, 0.0)
    assert min(mixed.weights) < 1e-5
    assert sum(mixed.weights) == pytest.approx(1.0, abs=1e-12)
    first, second = mixed.tracks
    second.x = first.x + 50.0
    assert mixed.pooled().xx > 0.0
