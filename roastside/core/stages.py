"""The marks of a roast, and the stages they part it into."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from roastside.core.events import StageSpan
from roastside.core.readings import ONCE_ONLY, UNDO, Mark, MarkName, MarkSource, Stage

_SAME_MOMENT_S = 0.0005


@dataclass(frozen=True, slots=True)
class Placed:
    """A once-only mark as it stands: stream time (s) and who placed it."""

    time_s: float
    source: MarkSource


class Marks:
    """The once-only marks as they stand now: later ones replace earlier, `undo` withdraws.

    What a person or a file said is never replaced by detection; what a person withdrew is not
    detected again.
    """

    def __init__(self) -> None:
        self._placed: dict[str, Placed] = {}
        self._withdrawn: set[str] = set()

    def take(self, mark: Mark) -> bool:
        """Place or withdraw; True if anything changed, which repeatable marks never do."""
        if mark.mark.startswith(UNDO):
            name = mark.mark.removeprefix(UNDO)
            self._withdrawn.add(name)
            return self._placed.pop(name, None) is not None
        if mark.mark not in ONCE_ONLY:
            return False
        standing = self._placed.get(mark.mark)
        if mark.source is MarkSource.AUTO:
            settled = standing is not None and standing.source is not MarkSource.AUTO
            if settled or mark.mark in self._withdrawn:
                return False
        self._placed[mark.mark] = Placed(mark.time_s, mark.source)
        return standing is None or abs(standing.time_s - mark.time_s) > _SAME_MOMENT_S

    def wanted(self, name: MarkName) -> bool:
        """Whether detection should still look for this mark."""
        return name not in self._placed and name not in self._withdrawn

    def forget_detected(self, *names: MarkName) -> list[MarkName]:
        """Drop marks that detection placed, because what they hang on has moved; those dropped."""
        standing = [(name, self._placed.get(name)) for name in names]
        dropped = [n for n, placed in standing if placed and placed.source is MarkSource.AUTO]
        for name in dropped:
            del self._placed[name]
        return dropped

    def forget_before_charge(self) -> list[MarkName]:
        """Drop the marks that lie before charge: they belong to no roast; those dropped."""
        charge_s = self.time_s(MarkName.CHARGE)
        if charge_s is None:
            return []
        early = [name for name, placed in self._placed.items() if placed.time_s < charge_s]
        for name in early:
            del self._placed[name]
        return [MarkName(name) for name in early]

    def time_s(self, name: MarkName) -> float | None:
        """Stream time of a mark, None if it does not stand."""
        placed = self._placed.get(name)
        return None if placed is None else placed.time_s

    def elapsed_s(self, name: MarkName) -> float | None:
        """Elapsed time of a mark, None if it or charge does not stand."""
        at_s = self.time_s(name)
        return None if at_s is None else self.since_charge_s(at_s)

    def since_charge_s(self, time_s: float) -> float | None:
        """Elapsed time of a moment in stream time, None without a charge."""
        charge_s = self.time_s(MarkName.CHARGE)
        return None if charge_s is None else time_s - charge_s

    def all_elapsed_s(self) -> dict[str, float]:
        """Elapsed time by mark name, in the order a roast meets them; empty without a charge.

        Marks that lie before charge belong to no roast and are left out.
        """
        charge_s = self.time_s(MarkName.CHARGE)
        if charge_s is None:
            return {}
        placed = self._placed
        elapsed = {name: placed[name].time_s - charge_s for name in ONCE_ONLY if name in placed}
        return {name: at_s for name, at_s in elapsed.items() if at_s >= 0.0}


def stage_at(elapsed_s: float | None, marks: Mapping[str, float]) -> Stage:
    """The stage at an elapsed time, by the marks (elapsed seconds) that stand."""
    if elapsed_s is None or elapsed_s < 0.0:
        return Stage.PREHEAT
    for name, stage in (
        (MarkName.DROP, Stage.COOLING),
        (MarkName.FIRST_CRACK, Stage.DEVELOPMENT),
        (MarkName.YELLOWING, Stage.BROWNING),
    ):
        begins = marks.get(name)
        if begins is not None and elapsed_s >= begins:
            return stage
    return Stage.DRYING


def ended_s(marks: Mapping[str, float], last_s: float | None) -> float | None:
    """Elapsed time of the end: drop, or else that of the last reading; None before charge."""
    end_s = marks.get(MarkName.DROP, last_s)
    return None if end_s is None or end_s < 0.0 else end_s


def developed_s(marks: Mapping[str, float], end_s: float) -> float | None:
    """Seconds from first crack to `end_s` (elapsed); None if it was not marked before that."""
    begins_s = marks.get(MarkName.FIRST_CRACK)
    return None if begins_s is None or not 0.0 <= begins_s <= end_s else end_s - begins_s


def stage_spans(marks: Mapping[str, float], end_s: float) -> dict[str, StageSpan]:
    """Seconds and share of drying, browning and development, charge to `end_s` (elapsed).

    A boundary that was never marked leaves its stages joined to the one before; of two in the
    wrong order the later stage stands, as in `stage_at`. The shares add up to one.
    """
    if end_s <= 0.0:
        return {}
    bounds = [(Stage.DRYING, 0.0)]
    for name, stage in (
        (MarkName.YELLOWING, Stage.BROWNING),
        (MarkName.FIRST_CRACK, Stage.DEVELOPMENT),
    ):
        begins = marks.get(name)
        if begins is not None and 0.0 <= begins < end_s:
            while bounds[-1][1] > begins:
                bounds.pop()
            bounds.append((stage, begins))
    ends = [begins for _, begins in bounds[1:]] + [end_s]
    return {
        str(stage): StageSpan(until - begins, (until - begins) / end_s)
        for (stage, begins), until in zip(bounds, ends, strict=True)
    }
