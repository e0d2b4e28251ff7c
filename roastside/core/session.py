"""The fold: readings and marks go in one at a time, events come out."""

from __future__ import annotations

from dataclasses import replace

from roastside.core.advice import rules_for
from roastside.core.alerts import Alerts, Situation
from roastside.core.compare import Comparator, Comparison
from roastside.core.curve import LiveCurve
from roastside.core.events import Alert, Event, Gap, Sample, Summary
from roastside.core.lookout import Hearing, Lookout
from roastside.core.marking import Marking
from roastside.core.outlook import Outlook
from roastside.core.plan import RoastPlan
from roastside.core.quality import Quality
from roastside.core.rate import Estimate
from roastside.core.readings import (
    Item,
    Mark,
    MarkName,
    Outage,
    Reading,
    StoreFault,
    Tick,
    plausible_c,
)
from roastside.core.reference import Reference
from roastside.core.silence import Silence
from roastside.core.stages import Marks, stage_at
from roastside.core.tally import Tally
from roastside.core.trust import Trust

_MARK_AHEAD_S = 300.0


class Session:
    """One roast, followed as it comes.

    `feed` takes whatever a source gives and returns the events it causes, in order; time comes
    in with the items, so a replay gives what the live roast gave. `finish` returns the summary.
    """

    def __init__(self, plan: RoastPlan | None = None, reference: Reference | None = None) -> None:
        self.plan = plan or RoastPlan()
        if reference is not None:
            own = reference if self.plan.own_corridor else replace(reference, corridor_c=None)
            reference = own.allowing_for_doubt(self.plan.tolerance_c)
        self.reference = reference
        self.marks = Marks()
        comparator = None if reference is None else Comparator(reference, self.plan.align)
        self._silence = Silence()
        self._curve = LiveCurve(self.plan, comparator)
        self._marking = Marking(self.plan, self.marks, self._silence, self._curve, comparator)
        self._alerts = Alerts(rules_for(self.plan))
        self._outlook = Outlook(self.plan, comparator)
        self._trust = Trust(self.plan.degrees)
        self._lookout = Lookout(self._curve, self._outlook, self._trust, reference)
        self._store_fault = ""
        self._tally = Tally(self.marks, self._silence)

    def feed(self, item: Item) -> list[Event]:
        """Take in one item; the events it causes, in order. Never raises for odd input."""
        match item:
            case Reading():
                return self._pass_time(item.time_s) if item.partial else self._reading(item)
            case Mark():
                return [*self._pass_time_to_mark(item.time_s), *self._marking.take(item)]
            case Tick():
                return self._pass_time(item.time_s)
            case Outage():
                events = self._pass_time(item.time_s)
                self._silence.lost(item.reason)
                return events
            case StoreFault():
                events = self._pass_time(item.time_s)
                self._store_fault = item.reason
                return [*events, *self._advice(self._compare())]

    @property
    def quality(self) -> Quality:
        """How well the bean probe was sampled in the last minute."""
        return self._trust.quality

    def standing(self) -> list[Alert]:
        """The alerts that stand now, worded for this moment."""
        return self._alerts.standing(self._situation(self._compare()))

    def acknowledge(self, alert: str, time_s: float) -> list[Alert]:
        """A person has seen an alert."""
        self._silence.reach(time_s)
        seen = self._alerts.acknowledge(alert, self._silence.now_s, self._elapsed_s)
        return [] if seen is None else [seen]

    def finish(self) -> Summary:
        """What the roast came to. May be asked at any moment."""
        return self._tally.summary(self._curve.max_deviation_c, self._alerts.counts)

    def _reading(self, reading: Reading) -> list[Event]:
        time_s, bean_c = reading.time_s, plausible_c(reading.bean_c)
        last_s = self._silence.last_reading_s
        if last_s is not None and time_s < last_s:
            self._tally.missing += 1
            return self._pass_time(time_s)
        if bean_c is None:
            self._tally.missing += 1
            events = self._pass_time(time_s)
            self._trust.judge(time_s, None)
            return events
        if last_s is None:
            self._silence.begin(time_s)
        events = self._pass_time(time_s)
        events += self._end_silence(time_s)
        self._tally.readings += 1
        if self._trust.judge(time_s, bean_c):
            return events + self._believed(reading, bean_c)
        return events + self._disbelieved(reading, bean_c)

    def _believed(self, reading: Reading, bean_c: float) -> list[Event]:
        """A reading that everything is computed from."""
        self._silence.believe(reading.time_s)
        air_c, began_anew = plausible_c(reading.air_c), self._trust.began_anew
        events: list[Event] = [*self._marking.find(reading.time_s, bean_c, air_c, began_anew)]
        self._watch_probes(reading, bean_c)
        elapsed_s = self.marks.since_charge_s(reading.time_s)
        self._watch_shape(elapsed_s)
        compared = self._compare()
        events.append(self._sample(reading, bean_c, compared, self._curve.estimate))
        if elapsed_s is not None:
            marks = self.marks.all_elapsed_s()
            events += self._outlook.update(self._silence.now_s, elapsed_s, marks, self._curve)
        return [*events, *self._advice(compared)]

    def _disbelieved(self, reading: Reading, bean_c: float) -> list[Event]:
        """A leap that no probe can make: told as it is, and nothing is computed from it.

        For a moment the estimate goes on without it; then it is no longer known.
        """
        if self._silence.silent_s < self._silent_after_s:
            self._curve.coast(reading.time_s)
            compared = self._compare()
            sample = self._sample(reading, bean_c, compared, self._curve.estimate)
        else:
            compared = self._compare()
            sample = self._sample(reading, bean_c, None, None)
        return [sample, *self._advice(compared)]

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

    def _watch_shape(self, elapsed_s: float | None) -> None:
        estimate = self._curve.estimate
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
        elapsed_s = self.marks.since_charge_s(reading.time_s)
        believed = self._silence.heard_s == reading.time_s
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
            tolerance_c=against.tolerance_c,
            deviation_sd_c=against.deviation_sd_c,
            ahead_sd_s=against.ahead_sd_s,
            extra=reading.extra,
            level_c=estimate.bean_c if estimate else bean_c if believed else None,
        )

    def _pass_time(self, time_s: float) -> list[Event]:
        """Let time pass, and see on the way what the silence means."""
        return [
            alert for _ in self._silence.pass_to(time_s) for alert in self._advice(self._compare())
        ]

    def _pass_time_to_mark(self, time_s: float) -> list[Event]:
        """A mark tells that time has passed, unless it lies far ahead of all readings.

        So it is in a file whose marks somebody wrote at its top.
        """
        heard_s = self._silence.heard_s
        ahead = heard_s is None or time_s > heard_s + _MARK_AHEAD_S
        return [] if ahead else self._pass_time(time_s)

    def _end_silence(self, time_s: float) -> list[Event]:
        """Tell of the silence that this reading ends, if it was one."""
        ended = self._silence.take(time_s, self._trust.quality.usual_s)
        if ended is None:
            return []
        now_s = self._silence.now_s
        return [Gap(now_s, self._elapsed_s, ended.from_s, time_s, ended.reason)]

    @property
    def _elapsed_s(self) -> float | None:
        return self.marks.since_charge_s(self._silence.now_s)

    @property
    def _silent_after_s(self) -> float:
        usual_s = self._trust.quality.usual_s
        return self._silence.silent_after_s(self.plan.silent_after_s, usual_s)

    def _compare(self) -> Comparison | None:
        last_s = self._silence.last_reading_s
        if last_s is None:
            return None
        estimate = self._curve.estimate
        elapsed_s = self.marks.since_charge_s(last_s if estimate is None else estimate.time_s)
        if elapsed_s is None or self.marks.time_s(MarkName.DROP) is not None:
            return None
        return self._curve.comparison(elapsed_s)

    def _advice(self, compared: Comparison | None) -> list[Alert]:
        """What the rules have to say at this moment."""
        return self._alerts.update(self._situation(compared))

    def _situation(self, compared: Comparison | None) -> Situation:
        silence = self._silence
        heard_s = silence.now_s if silence.heard_s is None else silence.heard_s
        return self._lookout.situation(
            silence.now_s,
            self._elapsed_s,
            self.marks.all_elapsed_s(),
            compared,
            Hearing(heard_s, silence.silent_s, self._silent_after_s, silence.line_lost),
            self._store_fault,
        )
