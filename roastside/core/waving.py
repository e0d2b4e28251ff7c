"""A roast and a slow wave on its readings, followed together."""

from __future__ import annotations

from cmath import exp as turned_by
from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, pi

from roastside.core.singer import Step, Track, judged


@dataclass(frozen=True, slots=True)
class Wave:
    """A wave whose phase and size drift: how often it swings, its variance in a reading (°C²), and
    how long it keeps its phase, more or less."""

    frequency_hz: float
    variance: float
    lasts_s: float

    def over(self, dt: float) -> tuple[complex, float, float]:
        """After `dt` seconds: by what the wave is multiplied, the square of that number's size, and
        the variance of what is new in it."""
        kept = exp(-dt / self.lasts_s)
        going_on = kept * turned_by(2j * pi * self.frequency_hz * dt)
        return going_on, kept * kept, 2.0 * self.variance * (1.0 - kept * kept)


class WavingTrack(Track):
    """A track whose readings are its level, the real part of a complex `z`, and an error.

    Such a z turns at the wave's frequency and forgets itself, as `Wave` says: the stochastic cycle
    of Harvey, "Forecasting, Structural Time Series Models and the Kalman Filter" (1989), section
    2.3, with its two states as one complex number. zx, zv and za are its covariances with level,
    slope and acceleration, zz is E|z|² and z2 is E z², all about the means.
    """

    __slots__ = ("z", "z2", "za", "zv", "zx", "zz")

    def __init__(
        self, x: float, v: float, level_variance: float, slope_variance: float, a_variance: float
    ) -> None:
        super().__init__(x, v, level_variance, slope_variance, a_variance)
        self.z = self.zx = self.zv = self.za = self.z2 = 0j
        self.zz = 0.0

    def begin(self, wave: Wave) -> None:
        """There is a wave, and nothing is known of its phase."""
        self.zz = 2.0 * wave.variance

    def turn(self, step: Step, going_on: complex, kept: float, fresh: float) -> None:
        """Move the wave on, after `predict` moved the rest by the same step; see `Wave.over`."""
        dt, f, g, h, *_ = step
        zv, za = self.zv, self.za
        self.z *= going_on
        self.zx = going_on * (self.zx + dt * zv + h * za)
        self.zv = going_on * (zv + g * za)
        self.za = going_on * f * za
        self.zz = kept * self.zz + fresh
        self.z2 *= going_on * going_on

    def leap(self, x: float, level_variance: float) -> None:
        """See `Track.leap`; the wave swings on, beside the level."""
        super().leap(x - self.z.real, level_variance + 0.5 * self.zz)
        self.zx = 0j

    def reading(self) -> tuple[float, float]:
        """Mean and variance of what a probe without error would read."""
        variance = self.xx + 2.0 * self.zx.real + 0.5 * (self.zz + self.z2.real)
        return self.x + self.z.real, max(variance, 0.0)

    def update(self, value: float, variance: float, half_step: float) -> float:
        """As `Track.update`, for a reading of level and wave."""
        gain_x = self.xx + self.zx.real
        gain_v = self.xv + self.zv.real
        gain_a = self.xa + self.za.real
        gain_z = self.zx + 0.5 * (self.zz + self.z2)
        total = gain_x + gain_z.real + variance
        off, kept, likelihood = judged(value - self.x - self.z.real, total, half_step)
        off /= total
        self.x += gain_x * off
        self.v += gain_v * off
        self.a += gain_a * off
        self.z += gain_z * off
        share = kept / total
        k_x, k_v, k_a = share * gain_x, share * gain_v, share * gain_a
        self.xx -= k_x * gain_x
        self.xv -= k_x * gain_v
        self.xa -= k_x * gain_a
        self.vv -= k_v * gain_v
        self.va -= k_v * gain_a
        self.aa -= k_a * gain_a
        self.zx -= k_x * gain_z
        self.zv -= k_v * gain_z
        self.za -= k_a * gain_z
        self.zz -= share * _square(gain_z)
        self.z2 -= share * gain_z * gain_z
        return likelihood

    def draw_near(self, pool: PooledWave, dx: float, dv: float, da: float, other: float) -> None:
        """Become, by the share `other`, what all tracks together say of the wave.

        dx, dv, da: how far level, slope and acceleration lay from the pool's.
        """
        own = 1.0 - other
        spread = own * other
        dz = self.z - pool.z
        self.zx = own * self.zx + other * pool.zx + spread * dx * dz
        self.zv = own * self.zv + other * pool.zv + spread * dv * dz
        self.za = own * self.za + other * pool.za + spread * da * dz
        self.zz = own * self.zz + other * pool.zz + spread * _square(dz)
        self.z2 = own * self.z2 + other * pool.z2 + spread * dz * dz
        self.z -= other * dz

    def without_wave(self) -> Track:
        """The same track, without what it tells of the wave."""
        track = Track(self.x, self.v, self.xx, self.vv, self.aa)
        track.a, track.xv, track.xa, track.va = self.a, self.xv, self.xa, self.va
        return track


def waving(track: Track, wave: Wave) -> WavingTrack:
    """The same track, from here on beside a wave of which no phase is known."""
    other = WavingTrack(track.x, track.v, track.xx, track.vv, track.aa)
    other.a, other.xv, other.xa, other.va = track.a, track.xv, track.xa, track.va
    other.begin(wave)
    return other


@dataclass(frozen=True, slots=True)
class PooledWave:
    """What several tracks together say of the wave."""

    z: complex
    zx: complex
    zv: complex
    za: complex
    zz: float
    z2: complex


def pooled_wave(
    tracks: Sequence[WavingTrack], weights: Sequence[float], x: float, v: float, a: float
) -> PooledWave:
    """Mean and covariances of a mixture of tracks whose means are x, v and a together."""
    z = sum((weight * track.z for weight, track in zip(weights, tracks, strict=True)), 0j)
    zx = zv = za = z2 = 0j
    zz = 0.0
    for weight, track in zip(weights, tracks, strict=True):
        dz = track.z - z
        zx += weight * (track.zx + (track.x - x) * dz)
        zv += weight * (track.zv + (track.v - v) * dz)
        za += weight * (track.za + (track.a - a) * dz)
        zz += weight * (track.zz + _square(dz))
        z2 += weight * (track.z2 + dz * dz)
    return PooledWave(z, zx, zv, za, zz, z2)


def _square(value: complex) -> float:
    return value.real * value.real + value.imag * value.imag
