"""Smooth shapes by which a curve is bent in one place and left alone everywhere else."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt

import numpy as np

from roastside.core.smooth import Curve

Shape = Callable[[Curve], tuple[Curve, Curve]]
"""From a place in a span, 0 to 1, to how strong the bend is there, and its integral from 0 on.

Strength and its slope are nought wherever the curve goes on beyond the span, so that a rate
multiplied by it has neither a jump nor a corner.
"""

_SHOULDER = 0.25
"""Share of the span in which a bend comes, or goes: a choice, so that the rest is even."""

START_STRONGEST = (1.0 - sqrt(0.2)) / 2.0
"""Where in its span `early` is strongest: u (1 - u) = 1/5."""


def plateau(u: Curve) -> tuple[Curve, Curve]:
    """The same strength throughout, coming and going softly."""
    strength, integral = plateau_to_the_end(u)
    falls, fallen = _soft_step((u - 1.0 + _SHOULDER) / _SHOULDER)
    return strength - falls, integral - _SHOULDER * fallen


def plateau_to_the_end(u: Curve) -> tuple[Curve, Curve]:
    """The same strength throughout, coming softly; for the last stage, after which nothing is."""
    strength, integral = _soft_step(u / _SHOULDER)
    return strength, _SHOULDER * integral + np.maximum(u - _SHOULDER, 0.0)


def plateau_from_the_beginning(u: Curve) -> tuple[Curve, Curve]:
    """The same strength throughout, going softly; for the plunge, before which nothing is."""
    strength, left = plateau_to_the_end(1.0 - u)
    return strength, 1.0 - 0.5 * _SHOULDER - left


def early(u: Curve) -> tuple[Curve, Curve]:
    """Up to 1 in the first half and down to -1 in the second; nothing on the whole."""
    scale = 25.0 * sqrt(5.0) / 3.0
    both = u * (1.0 - u)
    return scale * 3.0 * both**2 * (1.0 - 2.0 * u), scale * both**3


def approach(u: Curve) -> tuple[Curve, Curve]:
    """1 at the end of the span, the opposite before it; nothing on the whole."""
    return u**2 * (-12.0 + 28.0 * u - 15.0 * u**2), u**3 * (-4.0 + 7.0 * u - 3.0 * u**2)


def departure(u: Curve) -> tuple[Curve, Curve]:
    """1 at the beginning of the span, the opposite after it; nothing on the whole."""
    strength, integral = approach(1.0 - u)
    return strength, -integral


def _soft_step(x: Curve) -> tuple[Curve, Curve]:
    """0 to 1 over x = 0 to 1, level at both ends, and its integral over that stretch."""
    x = np.clip(x, 0.0, 1.0)
    return x**2 * (3.0 - 2.0 * x), x**3 * (1.0 - 0.5 * x)


@dataclass(frozen=True, slots=True)
class Bend:
    """A shape laid over a span of elapsed seconds, so many times as strong."""

    begins_s: float
    ends_s: float
    shape: Shape
    strength: float = 1.0

    def at(self, elapsed_s: Curve) -> tuple[Curve, Curve]:
        """Strength (nought outside the span) and its integral over time, s; shape (n,) each."""
        length_s = self.ends_s - self.begins_s
        u = np.clip((elapsed_s - self.begins_s) / length_s, 0.0, 1.0)
        strength, integral = self.shape(u)
        inside = (elapsed_s >= self.begins_s) & (elapsed_s <= self.ends_s)
        return self.strength * inside * strength, self.strength * length_s * integral

    @property
    def lasting_s(self) -> float:
        """The integral over the whole span."""
        return float(self.at(np.array([self.ends_s]))[1][0])


def warp(bends: Sequence[Bend], elapsed_s: Curve) -> tuple[Curve, Curve]:
    """Where each moment goes, s, and how much time is stretched there; shape (n,) each.

    Time runs on as long as no strength is below -1.
    """
    moved, stretch = elapsed_s.copy(), np.ones_like(elapsed_s)
    for bend in bends:
        strength, integral = bend.at(elapsed_s)
        moved, stretch = moved + integral, stretch + strength
    return moved, stretch
