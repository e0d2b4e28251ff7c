"""Marks as they come, by hand, from a file or by detection, and all that hangs on them."""

from __future__ import annotations

from roastside.core.compare import Comparator
from roastside.core.curve import LiveCurve
from roastside.core.detect import charge_detector
from roastside.core.events import Marked
from roastside.core.plan import Align, RoastPlan
from roastside.core.readings import PROBE_LOST, REPEATABLE, UNDO, Mark, MarkName, MarkSource
from roastside.core.silence import Silence
from roastside.core.stages import Marks


class Marking:
    """Places, moves and withdraws marks; curve and comparison are laid anew where one moves them.

    comparator: None without a reference.
    """

    def __init__(
        self,
        plan: RoastPlan,
        marks: Marks,
        silence: Silence,
        curve: LiveCurve,
        comparator: Comparator | None,
    ) -> None:
        self._aligns = plan.align is Align.TURNING_POINT
        self._marks = marks
        self._silence = silence
        self._curve = curve
        self._comparator = comparator
        reference = None if comparator is None else comparator.reference
        self._plunge = None if reference is None else reference.plunge
        self._charge_finder = charge_detector(self._plunge)

    def find(
        self, time_s: float, bean_c: float, air_c: float | None, began_anew: bool
    ) -> list[Marked]:
        """Take a believed reading into the curve; the marks that show in it.

        began_anew: the readings before were of something else, and no plunge leads from there.
        """
        found = self._curve.update(time_s, bean_c, air_c)
        if self._marks.wanted(MarkName.CHARGE):
            if began_anew:
                self._charge_finder = charge_detector(self._plunge)
            charge_s = self._charge_finder.update(time_s, bean_c)
            if charge_s is not None:
                found.append(Mark(round(charge_s, 3), MarkName.CHARGE, source=MarkSource.AUTO))
        return [event for mark in found for event in self.take(mark)]

    def take(self, mark: Mark) -> list[Marked]:
        """Place, move or withdraw a mark, and work out again what hangs on it."""
        name = mark.mark.removeprefix(UNDO)
        if name in REPEATABLE and mark.mark == name:
            if name == MarkName.COMMENT and mark.note.startswith(PROBE_LOST):
                self._silence.lost(mark.note.removeprefix(PROBE_LOST))
            return [self._marked(mark)]
        if not self._marks.take(mark):
            return []
        events = [self._marked(mark)]
        forgotten = self._begin_anew() if name == MarkName.CHARGE else []
        events += self._lay_anew(name)
        gone = [name for name in forgotten if self._marks.time_s(name) is None]
        return events + [self._marked(self._withdrawal(name)) for name in gone]

    def _begin_anew(self) -> list[MarkName]:
        """Charge has moved: look for it from scratch, and forget what belonged to the old one."""
        forgotten = self._marks.forget_detected(
            MarkName.TURNING_POINT, MarkName.YELLOWING, MarkName.DROP
        )
        forgotten += self._marks.forget_before_charge()
        self._charge_finder = charge_detector(self._plunge)
        return forgotten

    def _lay_anew(self, moved: str) -> list[Marked]:
        """Lay curve and comparison by a mark that has moved; what is found in the curve then."""
        if moved in (MarkName.FIRST_CRACK, MarkName.CHARGE):
            self._curve.cracked(self._marks.time_s(MarkName.FIRST_CRACK))
        aligns = self._aligns and moved in (MarkName.CHARGE, MarkName.TURNING_POINT)
        if aligns and self._comparator is not None:
            turned_s = self._marks.elapsed_s(MarkName.TURNING_POINT)
            self._comparator.align_turning_point(turned_s)
        if moved not in (MarkName.CHARGE, MarkName.DROP) and not aligns:
            return []
        charge_s = self._marks.time_s(MarkName.CHARGE)
        found = self._curve.relaid(charge_s, self._marks.time_s(MarkName.DROP))
        return [event for again in found for event in self.take(again)]

    def _withdrawal(self, name: MarkName) -> Mark:
        return Mark(self._silence.now_s, f"{UNDO}{name}", source=MarkSource.AUTO)

    def _marked(self, mark: Mark) -> Marked:
        now_s = self._silence.now_s
        if self._silence.last_reading_s is None:
            now_s = max(now_s, mark.time_s)
        return Marked(
            time_s=now_s,
            elapsed_s=self._marks.since_charge_s(now_s),
            mark=mark.mark,
            at_s=self._marks.since_charge_s(mark.time_s),
            source=mark.source,
            value=mark.value,
            note=mark.note,
            moment_s=mark.time_s,
        )
