"""Tells of the shape of the rate while it is still being made."""

from __future__ import annotations

from collections.abc import Sequence
from math import nan

from roastside.core.events import Alert, AlertState, Event, Gap, Marked, Sample
from roastside.core.findings import FindingKind, finding_words
from roastside.core.plan import RoastPlan
from roastside.core.rate import Estimate
from roastside.core.readings import ONCE_ONLY, UNDO, MarkName
from roastside.core.shape import ShapeWatch
from roastside.live.board import Board

_HAVE_ALERTS = frozenset({FindingKind.STALL, FindingKind.SUDDEN_FALL, FindingKind.REBOUND})
"""Of these an alert tells, by the same name, unless it is switched off."""

_TROUBLES = frozenset({"probe_open", "probe_silent", "probe_stuck", "probes_swapped", "wrong_unit"})
"""While one of these alerts stands, the rate is not that of the beans."""


class ShapeNews:
    """A line of the log when something is first found, of what no alert tells.

    Listens behind the board, in the roast's thread. A rate before a trouble with the probe is not
    held against one after it: there, and where charge is moved, it begins anew.
    """

    def __init__(self, board: Board, plan: RoastPlan) -> None:
        self._board = board
        self._plan = plan
        self._marks: dict[str, float] = {}
        self._troubles: set[str] = set()
        self._begin()

    def _begin(self) -> None:
        self._watch = ShapeWatch(self._plan.first_crack_c)

    def __call__(self, events: Sequence[Event]) -> None:
        for event in events:
            match event:
                case Sample():
                    self._sample(event)
                case Marked():
                    self._marked(event)
                case Gap():
                    self._begin()
                case Alert() if event.alert in _TROUBLES:
                    self._trouble(event)

    def _sample(self, sample: Sample) -> None:
        charge_s = self._marks.get(MarkName.CHARGE)
        rate, sd, level_c = sample.rate_c_per_min, sample.rate_sd, sample.level_c
        if charge_s is None or rate is None or sd is None or level_c is None or self._troubles:
            return
        elapsed = {name: at_s - charge_s for name, at_s in self._marks.items()}
        estimate = Estimate(sample.time_s, level_c, nan, rate, sd)
        for finding in self._watch.update(estimate, sample.time_s - charge_s, elapsed):
            if finding.kind not in _HAVE_ALERTS - self._plan.rules_off:
                self._board.note(sample.time_s, finding_words(finding, self._plan.degrees))

    def _marked(self, marked: Marked) -> None:
        name = marked.mark.removeprefix(UNDO)
        if name not in ONCE_ONLY:
            return
        if marked.mark == name:
            self._marks[name] = marked.moment_s
        else:
            self._marks.pop(name, None)
        if name == MarkName.CHARGE:
            self._begin()

    def _trouble(self, alert: Alert) -> None:
        if alert.state is AlertState.RAISED:
            self._troubles.add(alert.alert)
        elif alert.state is AlertState.CLEARED:
            self._troubles.discard(alert.alert)
            self._begin()
