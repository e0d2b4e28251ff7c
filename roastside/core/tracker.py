"""A level and its slope followed through noise: the two-state Kalman filter."""

from __future__ import annotations

State = tuple[float, float, float, float, float]
"""Level, slope, level variance, their covariance, slope variance."""


class Tracker:
    """Integrated random walk observed with noise, for samples at any spacing.

    State: level x (°C) and slope v (°C/s), with covariance. The slope performs a random walk of
    intensity q (°C²/s³), so over dt the covariance grows by q [[dt³/3, dt²/2], [dt²/2, dt]].
    Source: Bar-Shalom, Li and Kirubarajan, "Estimation with Applications to Tracking and
    Navigation" (2001), section 6.2.2, continuous white-noise acceleration model.
    """

    __slots__ = ("_cross", "level", "level_variance", "slope", "slope_variance", "time_s")

    def __init__(
        self, time_s: float, level: float, level_variance: float, slope_variance: float
    ) -> None:
        self.time_s = time_s
        self.level = level
        self.slope = 0.0
        self.level_variance = level_variance
        self.slope_variance = slope_variance
        self._cross = 0.0

    @property
    def state(self) -> State:
        return (self.level, self.slope, self.level_variance, self._cross, self.slope_variance)

    def predict(self, time_s: float, q: float) -> None:
        """Move on to `time_s` with process noise `q`, °C²/s³."""
        dt = time_s - self.time_s
        if dt <= 0.0:
            return
        self.time_s = time_s
        self.level += dt * self.slope
        self.level_variance += dt * (2.0 * self._cross + dt * (self.slope_variance + q * dt / 3.0))
        self._cross += dt * (self.slope_variance + q * dt / 2.0)
        self.slope_variance += q * dt

    def update(self, value: float, variance: float) -> None:
        """Take in a measurement of the level with the given error variance."""
        total = self.level_variance + variance
        gain_level = self.level_variance / total
        gain_slope = self._cross / total
        innovation = value - self.level
        self.level += gain_level * innovation
        self.slope += gain_slope * innovation
        self.slope_variance -= gain_slope * self._cross
        self._cross *= 1.0 - gain_level
        self.level_variance *= 1.0 - gain_level

    def restart(self, level: float, level_variance: float, slope_variance: float) -> None:
        """Forget what was followed: the level is here now, and its slope is not known."""
        self.level, self.slope = level, 0.0
        self.level_variance, self.slope_variance = level_variance, slope_variance
        self._cross = 0.0

    def ahead(self, seconds: float, q: float) -> tuple[float, float]:
        """Level expected `seconds` from now and its variance, if the slope persists."""
        level = self.level + seconds * self.slope
        variance = (
            self.level_variance
            + 2.0 * seconds * self._cross
            + seconds**2 * self.slope_variance
            + q * seconds**3 / 3.0
        )
        return level, variance
