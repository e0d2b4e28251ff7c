"""Several hypotheses of one motion, each weighed by how well it foretells the readings."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from math import exp
from typing import NamedTuple

from roastside.core.singer import Motion, Track
from roastside.core.waving import Wave, WavingTrack, pooled_wave, waving

_MIX_EVERY_S = 3.9
"""Short against how long a hypothesis stays the right one. Once a second gives the same estimates,
and costs a tenth more where readings are slow."""

_LEAST_WEIGHT = 1e-6


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """A motion, how likely it is beforehand, and which expectation it holds to.

    `anew`: where the curve leaps it takes the slope for another, too; else for the same.
    """

    motion: Motion
    share: float
    follows: str = ""
    anew: bool = False


class Pooled(NamedTuple):
    """What all hypotheses together say: level, slope and their covariance."""

    x: float
    v: float
    xx: float
    xv: float
    vv: float


class Mixture:
    """The interacting multiple model estimator.

    Source: Blom and Bar-Shalom, "The interacting multiple model algorithm for systems with
    Markovian switching coefficients", IEEE Trans. Automatic Control 33 (1988). Here a hypothesis
    that ceases to hold is followed by any other in proportion to its `share`, so that mixing needs
    only each track and the pool of all; and mixing is done every four seconds, however dense the
    readings.
    """

    def __init__(
        self,
        hypotheses: Sequence[Hypothesis],
        time_s: float,
        x: float,
        v: float,
        level_variance: float,
        slope_variance: float,
        stays_s: float,
        wave: Wave | None = None,
    ) -> None:
        """stays_s: how long a hypothesis usually stays the right one, until told otherwise. wave:
        what is on readings beside the level, if anything."""
        self.hypotheses = tuple(hypotheses)
        self._motions = tuple(dict.fromkeys(each.motion for each in self.hypotheses))
        self._moves = [self._motions.index(each.motion) for each in self.hypotheses]
        self.stays_s = stays_s
        self.wave = wave
        self.time_s = time_s
        self._mixed_s = time_s
        self.restart(x, v, level_variance, slope_variance)

    def restart(self, x: float, v: float, level_variance: float, slope_variance: float) -> None:
        """Forget what was followed: the level is here now, and the slope is hardly known."""
        self.tracks = [
            Track(x, v, level_variance, slope_variance, hypothesis.motion.sd_c_per_s2**2)
            for hypothesis in self.hypotheses
        ]
        self._waving: list[WavingTrack] = []
        if self.wave is not None:
            self.with_wave(self.wave)
        self._pooled: Pooled | None = None
        self.weights = [hypothesis.share for hypothesis in self.hypotheses]

    def leap(self, x: float, v: float, level_variance: float, slope_variance: float) -> None:
        """The level is here now; the slope is as it was, or as given.

        Either is held to by some of the hypotheses, and the readings tell which. Variances are of
        what is given.
        """
        were, waving_were = self.tracks, self._waving
        self.restart(x, v, level_variance, slope_variance)
        for j, hypothesis in enumerate(self.hypotheses):
            if hypothesis.anew:
                continue
            were[j].leap(x, level_variance)
            self.tracks[j] = were[j]
            if waving_were:
                self._waving[j] = waving_were[j]

    def lost(self, time_s: float, level_variance: float, slope_variance: float) -> None:
        """Begin anew at `time_s`, after so long a silence that hardly anything is known."""
        now = self.pooled()
        self.time_s = self._mixed_s = time_s
        self.restart(now.x, now.v, level_variance, slope_variance)

    def with_wave(self, wave: Wave) -> None:
        """From here on this wave is on the readings; nothing is known of its phase yet."""
        self.wave = wave
        self._waving = [waving(track, wave) for track in self.tracks]
        self.tracks = list(self._waving)

    def without_wave(self) -> None:
        """From here on readings are the level and an error alone."""
        self.wave = None
        self.tracks = [track.without_wave() for track in self._waving] or self.tracks
        self._waving = []

    def copied(self) -> Mixture:
        """The same, to look ahead with."""
        other = copy(self)
        other.tracks = [copy(track) for track in self.tracks]
        other._waving = [track for track in other.tracks if isinstance(track, WavingTrack)]
        other.weights = list(self.weights)
        return other

    def predict(self, time_s: float, q: float, gains: Sequence[tuple[float, float]]) -> None:
        """Move on to `time_s`; `gains` are what each hypothesis expects beside going straight on.

        For q see `Motion.over`.
        """
        dt = time_s - self.time_s
        if dt <= 0.0:
            return
        self.time_s = time_s
        if time_s - self._mixed_s >= _MIX_EVERY_S:
            self._mix(time_s - self._mixed_s)
            self._mixed_s = time_s
        self._pooled = None
        of_motion = [motion.over(dt, q) for motion in self._motions]
        steps = [of_motion[k] for k in self._moves]
        for track, step, (dx, dv) in zip(self.tracks, steps, gains, strict=True):
            track.predict(step, dx, dv)
        if self.wave is not None:
            going_on, kept, fresh = self.wave.over(dt)
            for swings, step in zip(self._waving, steps, strict=True):
                swings.turn(step, going_on, kept, fresh)

    def update(self, value: float, variance: float, half_step: float) -> float:
        """Take in a measurement of the level; returns how likely it was; see `Track.update`."""
        self._pooled = None
        weights = [
            weight * track.update(value, variance, half_step)
            for weight, track in zip(self.weights, self.tracks, strict=True)
        ]
        total = sum(weights)
        if total > 0.0:
            least = _LEAST_WEIGHT * total
            weights = [weight if weight > least else least for weight in weights]
            total = sum(weights)
            self.weights = [weight / total for weight in weights]
        return total

    def weight_of(self, follows: str) -> float:
        """How much is believed in the hypotheses that hold to this expectation."""
        return sum(
            weight
            for weight, hypothesis in zip(self.weights, self.hypotheses, strict=True)
            if hypothesis.follows == follows
        )

    def reading(self) -> tuple[float, float]:
        """Mean and variance of what a probe without error would read, level and wave."""
        about = self.tracks[0].x
        off = square = 0.0
        for weight, track in zip(self.weights, self.tracks, strict=True):
            value, variance = track.reading()
            value -= about
            off += weight * value
            square += weight * (variance + value * value)
        return about + off, max(square - off * off, 0.0)

    def pooled(self) -> Pooled:
        """Mean and covariance of the whole mixture, but for the acceleration."""
        if self._pooled is None:
            first = self.tracks[0]
            about_x, about_v = first.x, first.v
            x = v = xx = xv = vv = 0.0
            for weight, track in zip(self.weights, self.tracks, strict=True):
                dx, dv = track.x - about_x, track.v - about_v
                x += weight * dx
                v += weight * dv
                xx += weight * (track.xx + dx * dx)
                xv += weight * (track.xv + dx * dv)
                vv += weight * (track.vv + dv * dv)
            self._pooled = Pooled(about_x + x, about_v + v, xx - x * x, xv - x * v, vv - v * v)
        return self._pooled

    def _pooled_acceleration(self, x: float, v: float) -> tuple[float, float, float, float]:
        """Mean of the acceleration, and its covariances with level and slope and its variance."""
        a = sum([weight * track.a for weight, track in zip(self.weights, self.tracks, strict=True)])
        xa = va = aa = 0.0
        for weight, track in zip(self.weights, self.tracks, strict=True):
            da = track.a - a
            xa += weight * (track.xa + (track.x - x) * da)
            va += weight * (track.va + (track.v - v) * da)
            aa += weight * (track.aa + da * da)
        return a, xa, va, aa

    def _mix(self, span_s: float) -> None:
        leaves = 1.0 - exp(-span_s / self.stays_s)
        x, v, xx, xv, vv = self.pooled()
        a, xa, va, aa = self._pooled_acceleration(x, v)
        wave = pooled_wave(self._waving, self.weights, x, v, a) if self._waving else None
        for j, (hypothesis, track) in enumerate(zip(self.hypotheses, self.tracks, strict=True)):
            coming = leaves * hypothesis.share
            weight = (1.0 - leaves) * self.weights[j] + coming
            other = coming / weight
            own = 1.0 - other
            spread = own * other
            dx, dv, da = track.x - x, track.v - v, track.a - a
            track.xx = own * track.xx + other * xx + spread * dx * dx
            track.xv = own * track.xv + other * xv + spread * dx * dv
            track.xa = own * track.xa + other * xa + spread * dx * da
            track.vv = own * track.vv + other * vv + spread * dv * dv
            track.va = own * track.va + other * va + spread * dv * da
            track.aa = own * track.aa + other * aa + spread * da * da
            track.x -= other * dx
            track.v -= other * dv
            track.a -= other * da
            if wave is not None:
                self._waving[j].draw_near(wave, dx, dv, da, other)
            self.weights[j] = weight
