"""The outlook: what comes next in this roast, and in how many seconds."""

from __future__ import annotations

from collections.abc import Mapping
from math import copysign, hypot

from roastside.core.compare import Comparator
from roastside.core.curve import LiveCurve
from roastside.core.events import Forecast
from roastside.core.forecast import Expected, crossing, with_spread
from roastside.core.path import Keeping, Path
from roastside.core.plan import RoastPlan
from roastside.core.readings import MarkName

EVERY_S = 1.0

_YELLOWING_SD_C = 0.2
"""Yellowing is set by temperature, so only the estimate is unsure. An assumption, no source."""


_SETTLED_S = 30.0
"""Sooner after turning, a charge marked a second late looks like a roast on its way out."""

_LOOK_AHEAD_S = 60.0
_LEAST_AHEAD_S = 10.0
_DOUBT_SDS = 0.25
"""Leaving the corridor is told of with more faith than doubt, not only when it is certain: it costs
a glance, and comes half a minute sooner. Tried out on synthetic roasts (benchmarks/advice.py)."""


class Outlook:
    """Keeps the forecasts of a roast, made anew once a second."""

    def __init__(self, plan: RoastPlan, comparator: Comparator | None) -> None:
        self._plan = plan
        self._comparator = comparator
        self._keeping = Keeping()
        self._made_s = float("-inf")
        self._first_crack: Expected | None = None
        self._crack_past_c: float | None = None
        self._cue_at_s: float | None = None
        self.cue = ""
        self.leaving_c: float | None = None

    def update(
        self, now_s: float, elapsed_s: float, marks: Mapping[str, float], curve: LiveCurve
    ) -> list[Forecast]:
        """The forecasts of this second (stream and elapsed s, marks elapsed); none out of turn."""
        if not curve.turned:
            self._keeping.begin()
        if now_s - self._made_s < EVERY_S or curve.estimate is None or not curve.turned:
            return []
        self._made_s = now_s
        self._first_crack = self._crack_past_c = None
        self._cue_at_s = self.leaving_c = None
        if MarkName.DROP in marks:
            return []
        path = self._keeping.allowing(curve.filter.path())
        self.leaving_c = self._leaving(elapsed_s, marks, path)
        self._look_for_cue(elapsed_s, path)
        expected: dict[str, Expected | None] = {}
        if MarkName.YELLOWING not in marks:
            yellowing_c = self._reference_c(MarkName.YELLOWING, self._plan.yellowing_c)
            expected[MarkName.YELLOWING] = crossing(elapsed_s, yellowing_c, _YELLOWING_SD_C, path)
        if MarkName.FIRST_CRACK not in marks:
            first_crack_c = self._plan.habits.first_crack_c
            if first_crack_c is None:
                first_crack_c = self._reference_c(MarkName.FIRST_CRACK, self._plan.first_crack_c)
            spread_c = self._plan.habits.first_crack_sd_c
            self._first_crack = crossing(elapsed_s, first_crack_c, spread_c, path)
            self._crack_past_c = path.at(0.0) - first_crack_c - 2.0 * spread_c
            expected[MarkName.FIRST_CRACK] = self._first_crack
        expected[MarkName.DROP] = self._drop(elapsed_s, marks)
        return [
            Forecast(now_s, elapsed_s, str(name), when.at_s, when.low_s, when.high_s)
            for name, when in expected.items()
            if when is not None
        ]

    def first_crack_in_s(self, elapsed_s: float | None, marks: Mapping[str, float]) -> float | None:
        """Seconds to the expected first crack; None once it is marked or if nothing is known."""
        over = MarkName.FIRST_CRACK in marks or MarkName.DROP in marks
        if elapsed_s is None or self._first_crack is None or over:
            return None
        return self._first_crack.at_s - elapsed_s

    def crack_past_c(self, marks: Mapping[str, float]) -> float | None:
        """How far beans are surely past a first crack that nobody marked, °C; below 0 before it."""
        over = MarkName.FIRST_CRACK in marks or MarkName.DROP in marks
        return None if over else self._crack_past_c

    def cue_in_s(self, elapsed_s: float | None, marks: Mapping[str, float]) -> float | None:
        """Seconds to the next planned change of a control, worded in `cue`; None if none comes."""
        if elapsed_s is None or self._cue_at_s is None or MarkName.DROP in marks:
            return None
        return self._cue_at_s - elapsed_s

    def development_left_s(
        self, elapsed_s: float | None, marks: Mapping[str, float]
    ) -> float | None:
        """Seconds to the development target; None outside development."""
        first_crack_s = marks.get(MarkName.FIRST_CRACK)
        target_s = self._development_s(first_crack_s)
        if elapsed_s is None or first_crack_s is None or target_s is None or MarkName.DROP in marks:
            return None
        return first_crack_s + target_s - elapsed_s

    def _drop(self, elapsed_s: float, marks: Mapping[str, float]) -> Expected | None:
        first_crack_s = marks.get(MarkName.FIRST_CRACK)
        hand_s = spread_s = self._plan.habits.drop_sd_s
        if first_crack_s is None:
            if self._first_crack is None:
                return None
            first_crack_s = self._first_crack.at_s
            spread_s = hypot(hand_s, self._first_crack.sd_s)
        target_s = self._development_s(first_crack_s)
        if target_s is None:
            return None
        return with_spread(first_crack_s + target_s, spread_s, elapsed_s)

    def _development_s(self, first_crack_s: float | None) -> float | None:
        reference = None if self._comparator is None else self._comparator.reference
        own_s = None if reference is None else reference.development_s
        return self._plan.development_target_s(first_crack_s, own_s)

    def _reference_c(self, name: MarkName, fallback_c: float) -> float:
        """The bean temperature at which the reference met a milestone."""
        if self._comparator is None:
            return fallback_c
        at_s = self._comparator.reference.marks.get(name)
        return fallback_c if at_s is None else self._comparator.reference.at(at_s)[0]

    def _leaving(self, elapsed_s: float, marks: Mapping[str, float], path: Path) -> float | None:
        """How far off the reference a minute from now, at the least; 0 if perhaps not at all.

        None where its curve, now or then, is no more than a guess through a gap.
        """
        turned_s = marks.get(MarkName.TURNING_POINT)
        if self._comparator is None or turned_s is None or elapsed_s < turned_s + _SETTLED_S:
            return None
        reference, at_s = self._comparator.reference, elapsed_s - self._comparator.shift_s
        left_s = reference.end_s - at_s
        ahead_s = min(_LOOK_AHEAD_S, left_s)
        if ahead_s < _LEAST_AHEAD_S:
            return None
        if reference.guessed(at_s) or reference.guessed(at_s + ahead_s):
            return None
        off_c = path.at(ahead_s) - self._comparator.expected(elapsed_s + ahead_s)[0]
        doubt_c = _DOUBT_SDS * path.variance(ahead_s) ** 0.5
        return copysign(max(abs(off_c) - doubt_c, 0.0), off_c)

    def _look_for_cue(self, elapsed_s: float, path: Path) -> None:
        """The next planned change comes where the roast reaches the temperature it belongs to."""
        cues = () if self._comparator is None else self._comparator.reference.cues
        bean_c = path.at(0.0)
        coming = next((cue for cue in cues if cue.bean_c > bean_c), None)
        expected = None if coming is None else crossing(elapsed_s, coming.bean_c, 0.0, path)
        if coming is not None and expected is not None:
            self._cue_at_s, self.cue = expected.at_s, coming.words
