"""The bean curve of the roast so far: readings kept, the estimate of now, and the moments found."""

from __future__ import annotations

from math import isnan, nan
from statistics import median

from roastside.core.compare import Comparator, Comparison, LaidReference
from roastside.core.detect import PlungeDetector, TurningPointDetector, drop_detector
from roastside.core.plan import RoastPlan
from roastside.core.probe_error import ProbeError
from roastside.core.rate import Estimate, RateFilter
from roastside.core.readings import Mark, MarkName, MarkSource
from roastside.core.shape import ShapeWatch

_BEFORE_S = 5.0

_FALL_C = 2.0
"""Beans this much hotter than where a fall was noticed have not been dropped after all."""


class LiveCurve:
    """Readings in; estimate of now, comparison with the reference, and detected marks out.

    All of it hangs on where charge and drop stand, so when one of them is placed or moved the
    kept readings are run through again (`relaid`): a late or corrected mark gives the same
    curve as one that was known from the start. First crack counts from when it is told.
    """

    def __init__(self, plan: RoastPlan, comparator: Comparator | None) -> None:
        self._plan = plan
        self._comparator = comparator
        self._history: list[tuple[float, float, float | None]] = []
        self._crack_s: float | None = None
        self._begin(None, None)

    def _begin(self, charge_s: float | None, drop_s: float | None) -> None:
        self._charge_s = charge_s
        self._charged_c: float | None = None
        self._drop_s = drop_s
        self._cooling = False
        self.filter = RateFilter(charge_s, self._course(), self._error_before(charge_s))
        self.filter.cracked(self._crack_s)
        self.estimate: Estimate | None = None
        self.max_deviation_c: float | None = None
        self.shape = ShapeWatch(self._plan.first_crack_c)
        self._turning = None if charge_s is None else TurningPointDetector(charge_s)
        self._before: Estimate | None = None
        self._yellowed = False
        self._dropping: PlungeDetector | None = None
        self._fell_from_c: float | None = None

    def _course(self) -> LaidReference | None:
        if self._comparator is None or self._charge_s is None:
            return None
        return LaidReference(self._comparator, self._charge_s)

    def _error_before(self, charge_s: float | None) -> ProbeError:
        """What the readings of the preheat tell of the probe's errors."""
        error = ProbeError()
        if charge_s is not None:
            for time_s, bean_c, _ in self._history:
                if time_s >= charge_s:
                    break
                error.update(time_s, bean_c)
                error.believed(time_s, bean_c)
        return error

    @property
    def charged_c(self) -> float | None:
        """The bean temperature at charge, °C: the middle of the last readings before it."""
        charge_s = self._charge_s
        if charge_s is None:
            return None
        if self._charged_c is None:
            before = [c for at, c, _ in self._history if charge_s - _BEFORE_S <= at <= charge_s]
            self._charged_c = median(before) if before else nan
        return None if isnan(self._charged_c) else self._charged_c

    @property
    def turned(self) -> bool:
        """Whether the bean temperature plainly rises again after charge."""
        return self._charge_s is not None and self._turning is None

    @property
    def falling(self) -> bool:
        """Whether the beans may have been dropped, though no mark says so.

        So it is while a fall has begun that is not sure yet, and after one whose mark was
        withdrawn, until the beans are as hot again.
        """
        if self._dropping is not None:
            return self._dropping.suspects
        fell_from_c, now = self._fell_from_c, self.estimate
        return fell_from_c is not None and now is not None and now.bean_c < fell_from_c

    def update(self, time_s: float, bean_c: float, air_c: float | None = None) -> list[Mark]:
        """Take in a reading (stream s, °C); times must not go back. Returns marks detected."""
        self._history.append((time_s, bean_c, air_c))
        return self._step(time_s, bean_c, air_c)

    def cracked(self, at_s: float | None) -> None:
        """First crack was heard at this stream time, or after all was not."""
        self._crack_s = at_s
        self.filter.cracked(at_s)

    def coast(self, time_s: float) -> None:
        """A reading came that is not to be believed: the estimate goes on without it."""
        self.estimate = self.filter.coast(time_s)

    def relaid(self, charge_s: float | None, drop_s: float | None) -> list[Mark]:
        """Charge or drop was placed, moved or withdrawn: run the kept readings through again."""
        self._begin(charge_s, drop_s)
        found: list[Mark] = []
        for time_s, bean_c, air_c in self._history:
            if charge_s is None or time_s >= charge_s:
                found.extend(self._step(time_s, bean_c, air_c))
        return found

    def comparison(self, elapsed_s: float) -> Comparison | None:
        """Live against reference at an elapsed time; None without a reference."""
        if self._comparator is None:
            return None
        now = self.estimate
        rising = self.turned and not self.falling
        if now is None:
            return self._comparator.compare(elapsed_s, None, rising)
        return self._comparator.compare(elapsed_s, now.bean_c, rising, now.bean_sd_c)

    def _step(self, time_s: float, bean_c: float, air_c: float | None) -> list[Mark]:
        if self._drop_s is not None and time_s >= self._drop_s and not self._cooling:
            self._cooling = True
            self.filter = RateFilter(self._drop_s)
        self._before, self.estimate = self.estimate, self.filter.update(time_s, bean_c, air_c)
        if self._charge_s is None or self._cooling:
            return []
        found = (
            self._find_turning(time_s, bean_c)
            if self._turning
            else self._find_later(time_s, bean_c)
        )
        self._weigh_deviation(time_s)
        return [Mark(round(at_s, 3), name, source=MarkSource.AUTO) for name, at_s in found]

    def _find_turning(self, time_s: float, bean_c: float) -> list[tuple[MarkName, float]]:
        assert self._turning is not None
        turn_s = self._turning.update(time_s, bean_c)
        if turn_s is None:
            return []
        self._turning = None
        self._dropping = drop_detector()
        return [(MarkName.TURNING_POINT, turn_s)]

    def _find_later(self, time_s: float, bean_c: float) -> list[tuple[MarkName, float]]:
        found = []
        if not self._yellowed and self.estimate is not None:
            yellow_s = self._yellowing_s(self.estimate)
            if yellow_s is not None:
                self._yellowed = True
                found.append((MarkName.YELLOWING, yellow_s))
        if self._dropping is not None:
            drop_s = self._dropping.update(time_s, bean_c)
            if drop_s is not None:
                self._dropping = None
                self._fell_from_c = None if self._before is None else self._before.bean_c + _FALL_C
                found.append((MarkName.DROP, drop_s))
        return found

    def _yellowing_s(self, now: Estimate) -> float | None:
        target_c = self._plan.yellowing_c
        if now.bean_c < target_c:
            return None
        before = self._before
        if before is None or before.bean_c >= target_c:
            return now.time_s
        share = (target_c - before.bean_c) / (now.bean_c - before.bean_c)
        return before.time_s + share * (now.time_s - before.time_s)

    def _weigh_deviation(self, time_s: float) -> None:
        if self._charge_s is None or not self.turned or self.falling:
            return
        compared = self.comparison(time_s - self._charge_s)
        if compared is not None and compared.deviation_c is not None:
            size = abs(compared.deviation_c)
            self.max_deviation_c = max(size, self.max_deviation_c or 0.0)
