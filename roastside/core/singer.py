"""A level, its slope and its acceleration followed through noise: one hypothesis of the motion."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import exp, sqrt

from roastside.core.rounded import within

_FARTHEST = 60.0
"""Innovations count no more than this many variances against a hypothesis."""


Step = tuple[float, float, float, float, float, float, float, float, float, float]
"""What a step of time does to level, slope and acceleration: dt, f, g, h, xx, xv, xa, vv, va, aa.

Of an acceleration, f is left after it, g (s) has come into the slope and h (s²) into the level; the
others are the variances and covariances it adds. A plain tuple: it is made for every reading."""


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

    def over(self, dt: float, q: float) -> Step:
        """A step of `dt` seconds, short against `lasts_s`: its noise is that of a white jerk.

        `q` (°C²/s³) lets the slope itself wander, beside the acceleration.
        """
        lasts_s, jerk = self.lasts_s, self.jerk
        share = dt / lasts_s
        f = exp(-share)
        dt2, aa = dt * dt, jerk * dt
        return (
            dt,
            f,
            (1.0 - f) * lasts_s,
            (share - 1.0 + f) * lasts_s * lasts_s,
            dt * dt2 * (q / 3.0 + jerk * dt2 / 20.0),
            dt2 * (q / 2.0 + jerk * dt2 / 8.0),
            aa * dt2 / 6.0,
            dt * (q + jerk * dt2 / 3.0),
            aa * dt / 2.0,
            aa,
        )


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

    def predict(self, step: Step, dx: float, dv: float) -> None:
        """Move on by a step of the motion this track takes the curve to have.

        `dx`, `dv` are what the level and the slope are expected to gain beside going straight on.
        """
        dt, f, g, h, step_xx, step_xv, step_xa, step_vv, step_va, step_aa = step
        v, a, xx, xv, xa, vv, va, aa = (
            self.v, self.a, self.xx, self.xv, self.xa, self.vv, self.va, self.aa,
        )  # fmt: skip
        self.x += dt * v + h * a + dx
        self.v = v + g * a + dv
        self.a = a * f
        moved_xv = xv + dt * vv + h * va
        moved_xa = xa + dt * va + h * aa
        moved_va = va + g * aa
        self.xx = xx + dt * (xv + moved_xv) + h * (xa + moved_xa) + step_xx
        self.xv = moved_xv + g * moved_xa + step_xv
        self.xa = f * moved_xa + step_xa
        self.vv = vv + g * (va + moved_va) + step_vv
        self.va = f * moved_va + step_va
        self.aa = f * f * aa + step_aa

    def leap(self, x: float, level_variance: float) -> None:
        """The level is elsewhere now, but moves as it did."""
        self.x, self.xx, self.xv, self.xa = x, level_variance, 0.0, 0.0

    def reading(self) -> tuple[float, float]:
        """Mean and variance of what a probe without error would read."""
        return self.x, self.xx

    def update(self, value: float, variance: float, half_step: float) -> float:
        """Take in a measurement of the level; returns its likelihood, up to a common factor.

        With `half_step` > 0 the reading was rounded, and only tells that the level and an error of
        the given variance sum to within `half_step` of it.
        """
        x, xx, xv, xa = self.x, self.xx, self.xv, self.xa
        total = xx + variance
        off, kept, likelihood = judged(value - x, total, half_step)
        gain_x, gain_v, gain_a = xx / total, xv / total, xa / total
        self.x = x + gain_x * off
        self.v += gain_v * off
        self.a += gain_a * off
        if kept != 1.0:
            gain_x, gain_v, gain_a = gain_x * kept, gain_v * kept, gain_a * kept
        self.vv -= gain_v * xv
        self.va -= gain_v * xa
        self.aa -= gain_a * xa
        self.xv = xv - gain_x * xv
        self.xa = xa - gain_x * xa
        self.xx = xx - gain_x * xx
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
    far = off * off / total
    return off, 1.0, exp(-0.5 * (far if far < _FARTHEST else _FARTHEST)) / sqrt(total)
