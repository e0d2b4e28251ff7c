"""A level, its slope and its acceleration followed through noise: one hypothesis of the motion."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp, sqrt

from roastside.core.rounded import within

_FARTHEST = 60.0
"""Innovations count no more than this many variances against a hypothesis."""


@dataclass(frozen=True, slots=True)
class Motion:
    """How a curve is taken to move beside what is expected of it.

    Its acceleration is a random one of standard deviation `sd_c_per_s2` (°C/s²) that forgets
    itself within `lasts_s` seconds. Source: Singer, "Estimating Optimal Tracking Filter
    Performance for Manned Maneuvering Targets", IEEE Trans. Aerospace and Electronic Systems 6
    (1970).
    """

    sd_c_per_s2: float
    lasts_s: float
    jerk: float = field(init=False)
    """Intensity of the white jerk that drives it, °C²/s⁵."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "jerk", 2.0 * self.sd_c_per_s2**2 / self.lasts_s)


class Track:
    """Level x (°C), slope v (°C/s), acceleration a (°C/s²) and their covariance, six numbers.

    The 3 × 3 algebra is written out in plain floats: on so small a system the calls of an array
    library cost ten times the arithmetic.
    """

    __slots__ = ("a", "aa", "v", "va", "vv", "x", "xa", "xv", "xx")

    def __init__(
        self, x: float, v: float, level_variance: float, slope_variance: float, a_variance: float
    ) -> None:
        self.x, self.v, self.a = x, v, 0.0
        self.xx, self.xv, self.xa = level_variance, 0.0, 0.0
        self.vv, self.va, self.aa = slope_variance, 0.0, a_variance

    def predict(self, dt: float, motion: Motion, q: float, dx: float, dv: float) -> None:
        """Move on by `dt` seconds.

        `q` (°C²/s³) lets the slope itself wander, beside the acceleration; `dx`, `dv` are what the
        level and the slope are expected to gain beside going straight on. The process noise is
        that of a white jerk over `dt`, so `dt` is to be short against `motion.lasts_s`.
        """
        lasts_s, jerk = motion.lasts_s, motion.jerk
        share = dt / lasts_s
        f = exp(-share)
        g = (1.0 - f) * lasts_s
        h = (share - 1.0 + f) * lasts_s * lasts_s
        self.x += dt * self.v + h * self.a + dx
        self.v += g * self.a + dv
        self.a *= f
        xx, xv, xa, vv, va, aa = self.xx, self.xv, self.xa, self.vv, self.va, self.aa
        moved_xv, moved_xa = xv + dt * vv + h * va, xa + dt * va + h * aa
        moved_vv, moved_va = vv + g * va, va + g * aa
        dt2 = dt * dt
        self.xx = (
            xx
            + dt * (xv + moved_xv)
            + h * (xa + moved_xa)
            + dt * dt2 * (q / 3.0 + jerk * dt2 / 20.0)
        )
        self.xv = moved_xv + g * moved_xa + dt2 * (q / 2.0 + jerk * dt2 / 8.0)
        self.xa = f * moved_xa + jerk * dt * dt2 / 6.0
        self.vv = moved_vv + g * moved_va + dt * (q + jerk * dt2 / 3.0)
        self.va = f * moved_va + jerk * dt2 / 2.0
        self.aa = f * f * aa + jerk * dt

    def reading(self) -> tuple[float, float]:
        """Mean and variance of what a probe without error would read."""
        return self.x, self.xx

    def update(self, value: float, variance: float, half_step: float) -> float:
        """Take in a measurement of the level; returns its likelihood, up to a common factor.

        With `half_step` > 0 the reading was rounded, and only tells that the level and an error of
        the given variance sum to within `half_step` of it.
        """
        total = self.xx + variance
        off, kept, likelihood = judged(value - self.x, total, half_step)
        gain_x, gain_v, gain_a = self.xx / total, self.xv / total, self.xa / total
        self.x += gain_x * off
        self.v += gain_v * off
        self.a += gain_a * off
        gain_x, gain_v, gain_a = gain_x * kept, gain_v * kept, gain_a * kept
        self.vv -= gain_v * self.xv
        self.va -= gain_v * self.xa
        self.aa -= gain_a * self.xa
        self.xv -= gain_x * self.xv
        self.xa -= gain_x * self.xa
        self.xx -= gain_x * self.xx
        return likelihood


def judged(off: float, total: float, half_step: float) -> tuple[float, float, float]:
    """What a reading tells that lies `off` what was expected, with a variance of `total`.

    How far off the truth is in the mean, by how much of `total` its variance falls (1 were the
    reading exact), and how likely that was, up to a common factor; see `Track.update`.
    """
    if half_step > 0.0:
        sd = sqrt(total)
        mean, left, likelihood = within((off - half_step) / sd, (off + half_step) / sd)
        return mean * sd, 1.0 - left, likelihood
    return off, 1.0, exp(-0.5 * min(off * off / total, _FARTHEST)) / sqrt(total)
