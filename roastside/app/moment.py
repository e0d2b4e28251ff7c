"""The roast at this moment, told in the terms of the Roast screen."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from roastside.core.events import Sample
from roastside.core.plan import RoastPlan
from roastside.core.readings import MarkName, Stage
from roastside.core.reference import Reference
from roastside.core.stages import stage_at
from roastside.live.board import View


@dataclass(frozen=True, slots=True)
class Next:
    """The next thing to expect: its name and how many seconds off (None: not known yet).

    `sd_s`: how unsure that is (None: it is not a forecast).
    """

    name: str
    in_s: float | None
    sd_s: float | None = None


@dataclass(frozen=True)
class Moment:
    """A view of the board and what time it is now (stream seconds)."""

    view: View
    now_s: float
    plan: RoastPlan
    reference: Reference | None

    @property
    def elapsed_s(self) -> float | None:
        """Seconds since charge; stands still once the beans are dropped or the roast is over."""
        charge_s = self.view.charge_s
        if charge_s is None:
            return None
        return self.clock_s - charge_s

    @property
    def clock_s(self) -> float:
        """Now, or when the roast ended."""
        drop_s = self.view.marks.get(MarkName.DROP)
        if drop_s is not None:
            return drop_s
        if self.view.summary is not None:
            return self.view.summary.time_s
        return self.now_s

    @property
    def after(self) -> bool:
        """Whether the beans are out, or the roast is over."""
        return MarkName.DROP in self.view.marks or self.view.summary is not None

    @property
    def marks(self) -> dict[str, float]:
        """Elapsed seconds by mark; empty without a charge."""
        charge_s = self.view.charge_s
        if charge_s is None:
            return {}
        return {name: at - charge_s for name, at in self.view.marks.items()}

    @property
    def stage(self) -> Stage:
        """Where in the roast we are."""
        return stage_at(self.elapsed_s, self.marks)

    @property
    def sample(self) -> Sample | None:
        """The latest reading with all that was computed from it."""
        return self.view.last

    @property
    def rate_c_per_min(self) -> float | None:
        """The latest rate of rise that is known, none later than the drop."""
        until = int(np.searchsorted(self.view.time_s, self.clock_s, side="right"))
        known = self.view.rate_c_per_min[:until]
        known = known[np.isfinite(known)]
        return float(known[-1]) if known.size else None

    @property
    def stale_s(self) -> float:
        """How long ago the latest reading came."""
        if self.view.last is None or self.view.summary is not None:
            return 0.0
        return max(self.now_s - self.view.last.time_s, 0.0)

    @property
    def development_s(self) -> float | None:
        """Seconds since first crack."""
        first_crack_s, elapsed_s = self.marks.get(MarkName.FIRST_CRACK), self.elapsed_s
        if first_crack_s is None or elapsed_s is None or elapsed_s < first_crack_s:
            return None
        return elapsed_s - first_crack_s

    @property
    def development_ratio(self) -> float | None:
        """Development so far as a share of the roast so far."""
        developed_s, elapsed_s = self.development_s, self.elapsed_s
        if developed_s is None or not elapsed_s:
            return None
        return developed_s / elapsed_s

    @property
    def development_target_s(self) -> float | None:
        """Development aimed for, seconds."""
        own_s = None if self.reference is None else self.reference.development_s
        return self.plan.development_target_s(self.marks.get(MarkName.FIRST_CRACK), own_s)

    @property
    def next(self) -> Next:
        """What to expect next."""
        elapsed_s, marks = self.elapsed_s, self.marks
        if elapsed_s is None:
            return Next("charge", None)
        if MarkName.DROP in marks:
            return Next("dropped", None)
        if self.development_s is not None:
            target_s = self.development_target_s
            return Next("drop", None if target_s is None else target_s - self.development_s)
        for name in (MarkName.YELLOWING, MarkName.FIRST_CRACK):
            if name not in marks:
                words = name.replace("_", " ")
                forecast = self.view.forecasts.get(name)
                if forecast is None:
                    return Next(words, None)
                return Next(words, forecast.at_s - elapsed_s, forecast.sd_s)
        return Next("drop", None)
