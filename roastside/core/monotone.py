"""A smooth curve through points that only rise, and that itself only rises."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from roastside.core.smooth import Curve


@dataclass(frozen=True, slots=True)
class Monotone:
    """The cubic Hermite interpolant with harmonic-mean slopes (Fritsch and Butland 1984).

    `x` and `y`, shape (n,), n >= 2, both rising. Value and slope are continuous; between points
    it never turns.
    """

    x: Curve
    y: Curve

    def at(self, x: Curve) -> tuple[Curve, Curve]:
        """Value and slope, shape (m,) each; past either end it goes on straight."""
        slopes, h = self._slopes(), np.diff(self.x)
        inside = np.clip(x, self.x[0], self.x[-1])
        k = np.clip(np.searchsorted(self.x, inside, side="right") - 1, 0, len(h) - 1)
        u, h, low, high = (inside - self.x[k]) / h[k], h[k], self.y[k], self.y[k + 1]
        begins, ends = slopes[k], slopes[k + 1]
        value = (
            low * (1 + 2 * u) * (1 - u) ** 2
            + begins * h * u * (1 - u) ** 2
            + high * u**2 * (3 - 2 * u)
            - ends * h * u**2 * (1 - u)
        )
        slope = (
            (high - low) * 6 * u * (1 - u) / h
            + begins * (1 - u) * (1 - 3 * u)
            + ends * u * (3 * u - 2)
        )
        return value + slope * (x - inside), slope

    def _slopes(self) -> Curve:
        h, secant = np.diff(self.x), np.diff(self.y) / np.diff(self.x)
        before, after = 2 * h[1:] + h[:-1], h[1:] + 2 * h[:-1]
        middle = (before + after) / (before / secant[:-1] + after / secant[1:])
        return np.concatenate((secant[:1], middle, secant[-1:]))
