"""The moment as the rules see it, gathered from everything that follows the roast."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from roastside.core.alerts import Situation
from roastside.core.compare import Comparison
from roastside.core.curve import LiveCurve
from roastside.core.outlook import Outlook
from roastside.core.readings import MarkName
from roastside.core.reference import Reference
from roastside.core.trust import Trust

_STEADY_C_PER_MIN = 4.0

_CHARGE_KNOWN_S = 20.0
_CHARGE_TOLD_S = 80.0
"""How far the charge temperature was off is told between these elapsed times."""


@dataclass(frozen=True, slots=True)
class Hearing:
    """When a believed reading last came (stream s), how long ago, and what is too long.

    `line_lost`: none can come, as the line is gone.
    """

    heard_s: float
    silent_s: float
    silent_after_s: float
    line_lost: bool


@dataclass(frozen=True, slots=True)
class Lookout:
    """Looks at curve, outlook and trust on behalf of the rules. `reference` is None without one."""

    curve: LiveCurve
    outlook: Outlook
    trust: Trust
    reference: Reference | None

    def situation(
        self,
        now_s: float,
        elapsed_s: float | None,
        marks: Mapping[str, float],
        compared: Comparison | None,
        hearing: Hearing,
        store_fault: str,
    ) -> Situation:
        """The situation at stream time `now_s`; `marks` in elapsed seconds."""
        curve, outlook, trust = self.curve, self.outlook, self.trust
        estimate, shape = curve.estimate, curve.shape
        against = compared or Comparison()
        doubted = trust.suspects_stuck
        drop_s = marks.get(MarkName.DROP)
        roasting = drop_s is None
        alone = roasting and self.reference is None
        return Situation(
            time_s=now_s,
            elapsed_s=elapsed_s,
            on_course=compared is not None and curve.turned and not curve.falling,
            bean_c=None if estimate is None else estimate.bean_c,
            rate_c_per_min=None if estimate is None else estimate.rate_c_per_min,
            deviation_c=None if doubted else against.deviation_c,
            ahead_s=None if doubted or against.guessed else against.ahead_s,
            silent_s=hearing.silent_s,
            silent_after_s=hearing.silent_after_s,
            line_lost=hearing.line_lost,
            first_crack_in_s=outlook.first_crack_in_s(elapsed_s, marks),
            development_left_s=outlook.development_left_s(elapsed_s, marks),
            store_fault=store_fault,
            leaving_c=None if doubted else outlook.leaving_c,
            rate_off_c_per_min=(
                None if estimate is None or against.guessed else estimate.surely_off_c_per_min
            ),
            rate_sd=None if estimate is None else estimate.rate_sd,
            ready_c=self._preheat_off_c(elapsed_s),
            charged_off_c=self._charged_off_c(elapsed_s),
            cue_in_s=outlook.cue_in_s(elapsed_s, marks),
            cue=outlook.cue,
            crack_past_c=outlook.crack_past_c(marks),
            dropped_s=None if elapsed_s is None or drop_s is None else elapsed_s - drop_s,
            stall=shape.stall if roasting else None,
            sudden_fall=shape.sudden_fall if alone else None,
            rebound=shape.rebound if alone else None,
            faults=trust.faults(now_s, hearing.heard_s, hearing.silent_after_s),
            expected_rate_c_per_min=against.usual_rate_c_per_min,
            tolerance_c=against.tolerance_c,
            ahead_sd_s=against.ahead_sd_s,
        )

    def _preheat_off_c(self, elapsed_s: float | None) -> float | None:
        """How far a steady preheat is from the reference's charge temperature, °C."""
        estimate = self.curve.estimate
        if self.reference is None or estimate is None or elapsed_s is not None:
            return None
        if abs(estimate.rate_c_per_min) > _STEADY_C_PER_MIN:
            return None
        return estimate.bean_c - self.reference.bean_c[0]

    def _charged_off_c(self, elapsed_s: float | None) -> float | None:
        """How far the probe was from the reference's charge temperature, told for a minute, °C."""
        charged_c = self.curve.charged_c
        if self.reference is None or charged_c is None or elapsed_s is None:
            return None
        told = _CHARGE_KNOWN_S <= elapsed_s < _CHARGE_TOLD_S
        return charged_c - self.reference.bean_c[0] if told else None
