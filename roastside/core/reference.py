"""A reference: the smoothed curve of a roast to repeat, laid out by elapsed time."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import ceil, isfinite

import numpy as np

from roastside.core.cues import Cue, cues_from
from roastside.core.errors import UsageError
from roastside.core.onset import Plunge, plunge_of
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import Mark, MarkName, Reading
from roastside.core.smooth import Curve, Smoothed, smooth_roast

GRID_S = 0.5
"""Spacing of a reference's points, seconds."""

_MIN_SLOPE_C_PER_S = 1.0 / 60.0
"""Below 1 °C/min a place on the curve can not be told from its temperature."""

_LEAST_RISE_C = 10.0

_UNSEEN_START_S, _UNSEEN_START_SD_C = 10.0, 20.0
"""Nothing is known of a curve so long before its first reading."""

_DOUBT_SDS = 2.0
_WIDER = 1.25
"""A corridor is made wider for the curve's own doubt if that makes it so much wider somewhere."""

_GUESSED_SD_C = 0.7
"""Half a minute of a rate off by 1.4 °C/min, less than which nobody is told of. A choice."""


@dataclass(frozen=True)
class Reference:
    """A curve to repeat: bean temperature (°C) and slope (°C/s) every GRID_S from charge on.

    `marks` gives elapsed seconds by mark name; `cues` are planned changes of the controls. The
    curve ends at drop, or where the readings end. `corridor_c`, as long as the curve, tells by how
    much its own repeats differ (half the width, °C); None if that is not known. `doubt_c`, as long,
    is the standard deviation of the curve where readings were missing, °C, and 0 elsewhere.
    """

    title: str
    bean_c: list[float]
    slope_c_per_s: list[float]
    marks: Mapping[str, float]
    turning_point_s: float
    _rising: list[float] = field(repr=False)
    _rising_from: int = field(repr=False)
    cues: tuple[Cue, ...] = ()
    corridor_c: list[float] | None = None
    doubt_c: list[float] | None = None

    @classmethod
    def from_readings(
        cls, title: str, readings: Iterable[Reading], marks: Mapping[str, float]
    ) -> Reference:
        """Smooth a finished roast. `marks` on the clock of the readings, stream seconds.

        Raises UsageError if there is no charge, too few readings after it, or no rise in them.
        """
        charge_s = marks.get(MarkName.CHARGE)
        if charge_s is None:
            raise UsageError(
                f"the reference {title} has no charge mark, so its elapsed time is unknown; "
                "add a row with the mark 'charge', or choose another roast"
            )
        drop_s = marks.get(MarkName.DROP, float("inf"))
        points = sorted(
            (r.time_s, r.bean_c)
            for r in readings
            if r.bean_c is not None and charge_s <= r.time_s <= drop_s
        )
        if len(points) < 10 or points[-1][0] - points[0][0] < 60.0:
            raise UsageError(
                f"the reference {title} has less than a minute of readings between charge and "
                "drop; choose a whole roast"
            )
        time_s = np.array([p[0] for p in points])
        bean_c = np.array([p[1] for p in points])
        smoothed = smooth_roast(time_s, bean_c, charge_s, through_gaps=True)
        elapsed = {name: at - charge_s for name, at in marks.items() if isfinite(at)}
        return cls.from_smoothed(
            title, replace(smoothed, time_s=smoothed.time_s - charge_s), elapsed
        )

    @classmethod
    def from_smoothed(cls, title: str, curve: Smoothed, marks: Mapping[str, float]) -> Reference:
        """Lay a smoothed roast, elapsed time, on the grid; where readings were missing it is
        doubted if it was smoothed through its gaps.

        Raises UsageError if the curve never rises.
        """
        doubt_c = curve.doubt_c
        if curve.time_s[0] > _UNSEEN_START_S:
            doubt_c[0] = _UNSEEN_START_SD_C
        return cls.from_curve(
            title,
            curve.time_s,
            curve.bean_c,
            curve.slope_c_per_s,
            marks,
            doubt_c=doubt_c if np.any(doubt_c) else None,
        )

    @classmethod
    def from_curve(
        cls,
        title: str,
        elapsed_s: Curve,
        bean_c: Curve,
        slope_c_per_s: Curve,
        marks: Mapping[str, float],
        corridor_c: Curve | None = None,
        doubt_c: Curve | None = None,
    ) -> Reference:
        """Lay a smooth curve (arrays of shape (n,), elapsed time rising) on the grid.

        Between points the cubic that meets both values and both slopes (Hermite) is used, so a
        gap in the roast is bridged without a kink. A corridor is half its width at each point, a
        doubt the standard deviation of the curve.
        Raises UsageError if the curve never rises.
        """
        keep = np.concatenate(([True], np.diff(elapsed_s) > 1e-6))
        t, y, v = elapsed_s[keep], bean_c[keep], slope_c_per_s[keep]
        grid = np.arange(0.0, t[-1] + 1e-9, GRID_S)
        k = np.clip(np.searchsorted(t, grid, side="right") - 1, 0, len(t) - 2)
        h = t[k + 1] - t[k]
        u = np.clip((grid - t[k]) / h, 0.0, 1.0)
        bean = (
            y[k] * (1 + 2 * u) * (1 - u) ** 2
            + v[k] * h * u * (1 - u) ** 2
            + y[k + 1] * u**2 * (3 - 2 * u)
            - v[k + 1] * h * u**2 * (1 - u)
        )
        slope = (
            (y[k + 1] - y[k]) * 6 * u * (1 - u) / h
            + v[k] * (1 - u) * (1 - 3 * u)
            + v[k + 1] * u * (3 * u - 2)
        )
        turn = _turning_index(bean)
        turning_point_s = marks.get(MarkName.TURNING_POINT, turn * GRID_S)
        rising = np.maximum.accumulate(bean[turn:])
        if rising[-1] - rising[0] < _LEAST_RISE_C:
            raise UsageError(
                f"the reference {title} never rises after charge; choose another roast"
            )
        return cls(
            title=title,
            bean_c=bean.tolist(),
            slope_c_per_s=slope.tolist(),
            marks=dict(marks),
            turning_point_s=turning_point_s,
            _rising=rising.tolist(),
            _rising_from=turn,
            corridor_c=None
            if corridor_c is None
            else np.interp(grid, t, corridor_c[keep]).tolist(),
            doubt_c=None if doubt_c is None else np.interp(grid, t, doubt_c[keep]).tolist(),
        )

    def with_cues(self, controls: Iterable[Mark], charge_s: float) -> Reference:
        """The same with the control marks of its roast (stream seconds, as `charge_s`) as cues."""
        points = [(k * GRID_S, bean_c) for k, bean_c in enumerate(self.bean_c)]
        return replace(self, cues=cues_from(controls, charge_s, points))

    def cue(self, elapsed_s: float, words: str) -> Cue:
        """A cue on this curve, with the temperature of the next point as `with_cues` gives it."""
        k = min(ceil(elapsed_s / GRID_S), len(self.bean_c) - 1)
        return Cue(elapsed_s, self.bean_c[k], words)

    def allowing_for_doubt(self, tolerance_c: float) -> Reference:
        """The same with a corridor that is wider where the curve is hardly known.

        `tolerance_c` is half the width where it has no corridor of its own. A roast that runs where
        the reference had a gap is not off for all we know: two standard deviations of the curve
        are added, as independent things add up. A curve well known throughout stays as it is.
        """
        if self.doubt_c is None:
            return self
        usual = np.array(self.corridor_c or [tolerance_c] * len(self.bean_c))
        wide: Curve = np.hypot(usual, _DOUBT_SDS * np.array(self.doubt_c))
        after = self.arrays[0] > self.turning_point_s
        if not np.any((wide > _WIDER * usual) & after):
            return self
        return replace(self, corridor_c=wide.tolist())

    def tolerance_at(self, elapsed_s: float) -> float | None:
        """Half the corridor's width at an elapsed time, °C; None if it has none.

        Past either end the corridor stays as wide as it is there.
        """
        return None if self.corridor_c is None else _value_at(self.corridor_c, elapsed_s)

    def doubt_at(self, elapsed_s: float) -> float:
        """Standard deviation of the curve at an elapsed time, °C; 0 if it is not known."""
        return 0.0 if self.doubt_c is None else _value_at(self.doubt_c, elapsed_s)

    def guessed(self, elapsed_s: float) -> bool:
        """Whether the curve is so little known at an elapsed time that its slope tells nothing."""
        return self.doubt_at(elapsed_s) > _GUESSED_SD_C

    @cached_property
    def guesses(self) -> list[tuple[float, float]]:
        """From when to when its curve is a guess, elapsed seconds, after the turning point."""
        if self.doubt_c is None:
            return []
        guessed = np.array(self.doubt_c) > _GUESSED_SD_C
        guessed &= self.arrays[0] > self.turning_point_s
        edges = np.flatnonzero(np.diff(np.concatenate(([0], guessed.astype(int), [0]))))
        pairs = edges.reshape(-1, 2).tolist()
        return [(GRID_S * begin, GRID_S * (end - 1)) for begin, end in pairs]

    @property
    def lowest_s(self) -> float:
        """Elapsed seconds at which the curve is lowest: it should rise from here on."""
        return self._rising_from * GRID_S

    @property
    def end_s(self) -> float:
        """Elapsed seconds at which the curve ends."""
        return (len(self.bean_c) - 1) * GRID_S

    @property
    def development_s(self) -> float | None:
        """First crack to drop, seconds, if both are marked."""
        first_crack, drop = self.marks.get(MarkName.FIRST_CRACK), self.marks.get(MarkName.DROP)
        return None if first_crack is None or drop is None else drop - first_crack

    @cached_property
    def arrays(self) -> tuple[Curve, Curve, Curve]:
        """Elapsed s, bean temperature °C and rate °C/min, shape (n,) each, for drawing."""
        bean_c: Curve = np.array(self.bean_c)
        elapsed_s = GRID_S * np.arange(len(bean_c), dtype=np.float64)
        return elapsed_s, bean_c, np.array(self.slope_c_per_s) * SECONDS_PER_MINUTE

    @cached_property
    def plunge(self) -> Plunge | None:
        """How its probe fell after charge; None if that is not in the curve."""
        return plunge_of(self.bean_c, GRID_S)

    def covers(self, elapsed_s: float) -> bool:
        """Whether the curve has a value at this elapsed time."""
        return 0.0 <= elapsed_s <= self.end_s

    def at(self, elapsed_s: float) -> tuple[float, float]:
        """Bean temperature (°C) and slope (°C/s); past either end its last slope goes on."""
        position = elapsed_s / GRID_S
        last = len(self.bean_c) - 1
        k = min(max(int(position), 0), last - 1)
        weight = position - k
        if weight < 0.0 or weight > 1.0:
            edge = 0 if weight < 0.0 else last
            slope = self.slope_c_per_s[edge]
            return self.bean_c[edge] + slope * (elapsed_s - edge * GRID_S), slope
        low, high = self.bean_c[k], self.bean_c[k + 1]
        slope_low, slope_high = self.slope_c_per_s[k], self.slope_c_per_s[k + 1]
        return low + weight * (high - low), slope_low + weight * (slope_high - slope_low)

    def when(self, bean_c: float) -> float | None:
        """Elapsed seconds at which the rising part first reaches `bean_c`.

        None outside the rising part, or where it is too flat to tell.
        """
        rising = self._rising
        if not rising[0] <= bean_c <= rising[-1]:
            return None
        k = max(bisect_left(rising, bean_c), 1)
        climb = rising[k] - rising[k - 1]
        if climb < _MIN_SLOPE_C_PER_S * GRID_S:
            return None
        return (self._rising_from + k - 1 + (bean_c - rising[k - 1]) / climb) * GRID_S


def _value_at(values: list[float], elapsed_s: float) -> float:
    """The value between two points; past either end what it is there."""
    last = len(values) - 1
    position = min(max(elapsed_s / GRID_S, 0.0), float(last))
    k = min(int(position), last - 1)
    low, high = values[k], values[k + 1]
    return low + (position - k) * (high - low)


def _turning_index(bean: Curve) -> int:
    """Where the curve is lowest, looking no further than where it is hottest."""
    return int(np.argmin(bean[: int(np.argmax(bean[len(bean) // 2 :])) + len(bean) // 2 + 1]))
