"""The fold: readings and marks go in one at a time, events come out."""

from __future__ import annotations

from math import inf

from roastside.core.advice import rules_for
from roastside.core.alerts import Alerts, Situation
from roastside.core.compare import Comparator, Comparison
from roastside.core.curve import LiveCurve
from roastside.core.detect import charge_detector
from roastside.core.events import Alert, Event, Gap, Marked, Sample, Summary
from roastside.core.lookout import Hearing, Lookout
from roastside.core.outlook import Outlook
from roastside.core.plan import Align, RoastPlan
from roastside.core.quality import Quality
from roastside.core.rate import Estimate
from roastside.core.readings import (
    PROBE_LOST,
    REPEATABLE,
    UNDO,
    Item,
    Mark,
    MarkName,
    MarkSource,
    Outage,
    Reading,
    StoreFault,
    Tick,
    plausible_c,
)
from roastside.core.reference import Reference
from roastside.core.stages import Marks, stage_at, stage_spans
from roastside.core.trust import Trust

TICK_S = 1.0
"""Silence is looked at this often, counted from the last reading, live and replayed alike."""

_LONGEST_SILENCE_S = 900.0
"""Past this much silence there is nothing new to find in it."""

_MARK_AHEAD_S = 300.0

_GAP_S = 2.0
_GAP_INTERVALS = 3.0
_SILENT_INTERVALS = 3.5
"""A slow adapter's spacing is not silence: limits are also counted in its own intervals."""


class Session:
    """One roast, followed as it comes.

    `feed` takes whatever a source gives and returns the events it causes, in order; time comes
    in with the items, so a replay gives what the live roast gave. `finish` returns the summary.
    """

    def __init__(self, plan: RoastPlan | None = None, reference: Reference | None = None) -> None:
        self.plan = plan or RoastPlan()
        self.reference = reference
        self.marks = Marks()
        self._comparator = None if reference is None else Comparator(reference, self.plan.align)
        self._curve = LiveCurve(self.plan, self._comparator)
        self._charge_finder = charge_detector()
        self._alerts = Alerts(rules_for(self.plan))
        self._outlook = Outlook(self.plan, self._comparator)
        self._trust = Trust(self.plan.degrees)
        self._lookout = Lookout(self._curve, self._outlook, self._trust, reference)
        self._now_s = 0.0
        self._last_reading_s: float | None = None
        self._heard_s: float | None = None
        self._next_tick_s = inf
        self._interval_s = 1.0
        self._outage = ""
        self._store_fault = ""
        self._readings = 0
        self._missing = 0

    def feed(self, item: Item) -> list[Event]:
        """Take in one item; the events it causes, in order. Never raises for odd input."""
        match item:
            case Reading():
                return self._pass_time(item.time_s) if item.partial else self._reading(item)
            case Mark():
                return self._pass_time_to_mark(item.time_s) + self._mark(item)
            case Tick():
                return self._pass_time(item.time_s)
            case Outage():
                events = self._pass_time(item.time_s)
                self._outage = self._outage or item.reason
                return events
            case StoreFault():
                events = self._pass_time(item.time_s)
                self._store_fault = item.reason
                return events + list(self._alerts.update(self._situation(self._compare())))

    @property
    def quality(self) -> Quality:
        """How well the bean probe was sampled in the last minute."""
        return self._trust.quality

    def standing(self) -> list[Alert]:
        """The alerts that stand now, worded for this moment."""
        return self._alerts.standing(self._situation(self._compare()))

    def acknowledge(self, alert: str, time_s: float) -> list[Alert]:
        """A person has seen an alert."""
        self._now_s = max(self._now_s, time_s)
        seen = self._alerts.acknowledge(alert, self._now_s, self._elapsed_s(self._now_s))
        return [] if seen is None else [seen]

    def finish(self) -> Summary:
        """What the roast came to. May be asked at any moment."""
        marks = self.marks.all_elapsed_s()
        end_s = marks.get(MarkName.DROP)
        if end_s is None and self._last_reading_s is not None:
            end_s = self._elapsed_s(self._last_reading_s)
        if end_s is not None and end_s < 0.0:
            end_s = None
        first_crack_s = marks.get(MarkName.FIRST_CRACK)
        developed = None
        if end_s is not None and first_crack_s is not None and 0.0 <= first_crack_s <= end_s:
            developed = end_s - first_crack_s
        return Summary(
            time_s=self._now_s,
            elapsed_s=self._elapsed_s(self._now_s),
            duration_s=end_s,
            marks=marks,
            stages={} if end_s is None else stage_spans(marks, end_s),
            development_s=developed,
            development_ratio=developed / end_s if developed is not None and end_s else None,
            max_deviation_c=self._curve.max_deviation_c,
            alerts=dict(self._alerts.counts),
            readings=self._readings,
            missing=self._missing,
        )

    def _reading(self, reading: Reading) -> list[Event]:
        bean_c = plausible_c(reading.bean_c)
        last_s = self._last_reading_s
        if last_s is not None and reading.time_s < last_s:
            self._missing += 1
            return self._pass_time(reading.time_s)
        if bean_c is None:
            self._missing += 1
            events = self._pass_time(reading.time_s)
            self._trust.judge(reading.time_s, None)
            return events
        if last_s is None:
            # The roast's clock begins here; what was counted before was only waiting.
            self._now_s = self._heard_s = reading.time_s
        events = self._pass_time(reading.time_s)
        events += self._close_gap(reading.time_s)
        self._readings += 1
        self._last_reading_s = reading.time_s
        if not self._trust.judge(reading.time_s, bean_c):
            return events + self._disbelieved(reading, bean_c)
        self._heard_s = reading.time_s
        self._next_tick_s = reading.time_s + TICK_S
        events += self._find_marks(reading.time_s, bean_c, plausible_c(reading.air_c))
        self._watch_probes(reading, bean_c)
        self._watch_shape(reading.time_s)
        compared = self._compare()
        elapsed_s = self._elapsed_s(reading.time_s)
        events.append(self._sample(reading, bean_c, compared, self._curve.estimate))
        if elapsed_s is not None:
            marks = self.marks.all_elapsed_s()
            events += self._outlook.update(self._now_s, elapsed_s, marks, self._curve)
        events += self._alerts.update(self._situation(compared))
        return events

    def _disbelieved(self, reading: Reading, bean_c: float) -> list[Event]:
        """A leap that no probe can make: told as it is, and nothing is computed from it.

        For a moment the estimate goes on without it; then it is no longer known.
        """
        if self._silent_s() < self._silent_after_s():
            self._curve.coast(reading.time_s)
            compared = self._compare()
            sample = self._sample(reading, bean_c, compared, self._curve.estimate)
        else:
            compared = self._compare()
            sample = self._sample(reading, bean_c, None, None)
        return [sample, *self._alerts.update(self._situation(compared))]

    def _watch_probes(self, reading: Reading, bean_c: float) -> None:
        self._trust.follow(
            reading.time_s,
            bean_c,
            plausible_c(reading.air_c),
            self._curve.estimate,
            charge_s=self.marks.time_s(MarkName.CHARGE),
            turned=self._curve.turned,
            dropped=self.marks.time_s(MarkName.DROP) is not None,
        )

    def _watch_shape(self, time_s: float) -> None:
        estimate, elapsed_s = self._curve.estimate, self._elapsed_s(time_s)
        if estimate is None or elapsed_s is None:
            return
        if not self._curve.falling and not self._trust.suspects_stuck:
            self._curve.shape.update(estimate, elapsed_s, self.marks.all_elapsed_s())

    def _sample(
        self,
        reading: Reading,
        bean_c: float,
        compared: Comparison | None,
        estimate: Estimate | None,
    ) -> Sample:
        against = compared or Comparison()
        elapsed_s = self._elapsed_s(reading.time_s)
        believed = self._heard_s == reading.time_s
        return Sample(
            time_s=reading.time_s,
            elapsed_s=elapsed_s,
            bean_c=bean_c,
            air_c=plausible_c(reading.air_c),
            rate_c_per_min=None if estimate is None else estimate.rate_c_per_min,
            rate_sd=None if estimate is None else estimate.rate_sd,
            stage=stage_at(elapsed_s, self.marks.all_elapsed_s()),
            has_reference=self.reference is not None,
            reference_bean_c=against.reference_bean_c,
            reference_rate_c_per_min=against.reference_rate_c_per_min,
            deviation_c=against.deviation_c,
            ahead_s=against.ahead_s,
            extra=reading.extra,
            level_c=estimate.bean_c if estimate else bean_c if believed else None,
        )

    def _pass_time(self, time_s: float) -> list[Event]:
        """Notice silence, on a grid of whole ticks after the last reading."""
        if self._heard_s is None:
            # Until the first reading, silence counts from when we began to listen.
            self._heard_s = time_s
            self._next_tick_s = time_s + TICK_S
        events: list[Event] = []
        while self._next_tick_s < time_s:
            self._now_s = max(self._now_s, self._next_tick_s)
            silent_s = self._next_tick_s - self._heard_s
            self._next_tick_s += TICK_S if silent_s < _LONGEST_SILENCE_S else inf
            events += self._alerts.update(self._situation(self._compare()))
        self._now_s = max(self._now_s, time_s)
        return events

    def _pass_time_to_mark(self, time_s: float) -> list[Event]:
        """A mark tells that time has passed, unless it lies far ahead of all readings.

        So it is in a file whose marks somebody wrote at its top.
        """
        ahead = self._heard_s is None or time_s > self._heard_s + _MARK_AHEAD_S
        return [] if ahead else self._pass_time(time_s)

    def _close_gap(self, time_s: float) -> list[Event]:
        """Tell of the silence that this reading ends, if it was one; learn the usual spacing."""
        if self._last_reading_s is None:
            self._outage = ""
            return []
        spacing_s = time_s - self._last_reading_s
        reason, self._outage = self._outage, ""
        is_gap = bool(reason) or spacing_s > max(_GAP_S, _GAP_INTERVALS * self._usual_s())
        if not is_gap:
            self._interval_s += 0.1 * (spacing_s - self._interval_s)
            return []
        return [
            Gap(
                time_s=self._now_s,
                elapsed_s=self._elapsed_s(self._now_s),
                from_s=self._last_reading_s,
                to_s=time_s,
                reason=reason or "no readings came",
            )
        ]

    def _find_marks(self, time_s: float, bean_c: float, air_c: float | None) -> list[Event]:
        found = self._curve.update(time_s, bean_c, air_c)
        if self.marks.wanted(MarkName.CHARGE):
            if self._trust.began_anew:
                self._charge_finder = charge_detector()
            charge_s = self._charge_finder.update(time_s, bean_c)
            if charge_s is not None:
                found.append(Mark(round(charge_s, 3), MarkName.CHARGE, source=MarkSource.AUTO))
        return [event for mark in found for event in self._mark(mark)]

    def _mark(self, mark: Mark) -> list[Event]:
        """Place, move or withdraw a mark, and work out again what hangs on it."""
        name = mark.mark.removeprefix(UNDO)
        if name in REPEATABLE and mark.mark == name:
            if name == MarkName.COMMENT and mark.note.startswith(PROBE_LOST):
                self._outage = self._outage or mark.note.removeprefix(PROBE_LOST)
            return [self._marked(mark)]
        if not self.marks.take(mark):
            return []
        events: list[Event] = [self._marked(mark)]
        forgotten: list[MarkName] = []
        if name == MarkName.CHARGE:
            forgotten = self.marks.forget_detected(
                MarkName.TURNING_POINT, MarkName.YELLOWING, MarkName.DROP
            )
            forgotten += self.marks.forget_before_charge()
            self._charge_finder = charge_detector()
        moves = name in (MarkName.CHARGE, MarkName.TURNING_POINT)
        aligns = moves and self.plan.align is Align.TURNING_POINT
        if aligns and self._comparator is not None:
            turned_s = self.marks.elapsed_s(MarkName.TURNING_POINT)
            self._comparator.align_turning_point(turned_s)
        if name in (MarkName.CHARGE, MarkName.DROP) or aligns:
            charge_s = self.marks.time_s(MarkName.CHARGE)
            found = self._curve.relaid(charge_s, self.marks.time_s(MarkName.DROP))
            events += [event for again in found for event in self._mark(again)]
        gone = [name for name in forgotten if self.marks.time_s(name) is None]
        return events + [self._marked(self._withdrawal(name)) for name in gone]

    def _withdrawal(self, name: MarkName) -> Mark:
        return Mark(self._now_s, f"{UNDO}{name}", source=MarkSource.AUTO)

    def _marked(self, mark: Mark) -> Marked:
        now_s = max(self._now_s, mark.time_s) if self._last_reading_s is None else self._now_s
        return Marked(
            time_s=now_s,
            elapsed_s=self._elapsed_s(now_s),
            mark=mark.mark,
            at_s=self._elapsed_s(mark.time_s),
            source=mark.source,
            value=mark.value,
            note=mark.note,
            moment_s=mark.time_s,
        )

    def _elapsed_s(self, time_s: float) -> float | None:
        charge_s = self.marks.time_s(MarkName.CHARGE)
        return None if charge_s is None else time_s - charge_s

    def _compare(self) -> Comparison | None:
        if self._last_reading_s is None:
            return None
        estimate = self._curve.estimate
        at_s = self._last_reading_s if estimate is None else estimate.time_s
        elapsed_s = self._elapsed_s(at_s)
        roasting = elapsed_s is not None and self.marks.time_s(MarkName.DROP) is None
        return self._curve.comparison(elapsed_s) if roasting and elapsed_s is not None else None

    def _situation(self, compared: Comparison | None) -> Situation:
        heard_s = self._now_s if self._heard_s is None else self._heard_s
        return self._lookout.situation(
            self._now_s,
            self._elapsed_s(self._now_s),
            self.marks.all_elapsed_s(),
            compared,
            Hearing(heard_s, self._silent_s(), self._silent_after_s()),
            self._store_fault,
        )

    def _silent_s(self) -> float:
        """Seconds since the last believed bean reading.

        Times are whole milliseconds; their differences should be too, or a limit of three seconds
        is met a tick late.
        """
        return 0.0 if self._heard_s is None else round(self._now_s - self._heard_s, 3)

    def _silent_after_s(self) -> float:
        return max(self.plan.silent_after_s, _SILENT_INTERVALS * self._usual_s())

    def _usual_s(self) -> float:
        """How long one usually waits for a reading, seconds."""
        return max(self._interval_s, self._trust.quality.usual_s or 0.0)
