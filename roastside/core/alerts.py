"""The life of an alert: raised after a delay, cleared with a deadband, once per cause."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from roastside.core.events import Alert, AlertState, Family, Priority
from roastside.core.findings import Finding
from roastside.core.surely import surely
from roastside.core.trust import NO_FAULTS

_OVER = float("-inf")


@dataclass(frozen=True, slots=True)
class Situation:
    """All that a rule may look at, at one moment; None is unknown.

    `on_course`: beans are rising past the turning point, so that holding them against the
    reference makes sense. `silent_s` since the last bean reading, of which `silent_after_s` is
    too long. `first_crack_in_s` and `development_left_s` are seconds from now. `faults` are those
    of the probes: alert id to the words for it. `leaving_c` is the least departure to count on a
    minute from now, 0 if it may stay where it should; `rate_off_c_per_min` by how much the rate
    surely differs from the reference's, `expected_rate_c_per_min` that one's own, past its
    end the last. `ready_c` is how far the steady preheat is from the charge
    temperature, `charged_off_c` how far it was at charge. `cue_in_s` to the next planned change,
    worded in `cue`. `crack_past_c` is how far the beans surely are past the temperature of a first
    crack that nobody marked. `dropped_s` since the drop. `stall`, `sudden_fall` and `rebound` are
    what the rate goes through now; falls and rebounds only without a reference to hold against.
    `tolerance_c` is the reference's own corridor here, if it has one that counts. `line_lost`: the
    silence is that of a line that is gone.
    """

    time_s: float
    elapsed_s: float | None
    on_course: bool
    bean_c: float | None
    rate_c_per_min: float | None
    deviation_c: float | None
    ahead_s: float | None
    silent_s: float
    silent_after_s: float
    first_crack_in_s: float | None
    development_left_s: float | None
    store_fault: str
    leaving_c: float | None = None
    rate_off_c_per_min: float | None = None
    rate_sd: float | None = None
    ready_c: float | None = None
    charged_off_c: float | None = None
    cue_in_s: float | None = None
    cue: str = ""
    crack_past_c: float | None = None
    dropped_s: float | None = None
    stall: Finding | None = None
    sudden_fall: Finding | None = None
    rebound: Finding | None = None
    faults: Mapping[str, str] = field(default_factory=lambda: NO_FAULTS)
    expected_rate_c_per_min: float | None = None
    tolerance_c: float | None = None
    line_lost: bool = False
    ahead_sd_s: float | None = None

    @property
    def surely_ahead_s(self) -> float | None:
        """The least of `ahead_s` to count on."""
        return None if self.ahead_s is None else surely(self.ahead_s, self.ahead_sd_s)


@dataclass(frozen=True, slots=True)
class Rule:
    """One thing worth a person's attention.

    `measure` gives the situation as a share of the limit: from 1 on it is a fault, below
    `clear_below` it is over, between them nothing changes (the deadband), nor on NaN; None is over.
    `yields_to` names alerts of the same cause: while one of them stands this one does not.
    `held_by` names alerts that leave this rule without evidence: meanwhile nothing changes.
    `again_after_s` is how long after it was raised it is not raised again.
    """

    alert: str
    family: Family
    priority: Priority
    measure: Callable[[Situation], float | None]
    message: Callable[[Situation], str]
    on_delay_s: float = 0.0
    off_delay_s: float = 0.0
    clear_below: float = 1.0
    yields_to: tuple[str, ...] = ()
    held_by: tuple[str, ...] = ()
    again_after_s: float = 0.0


@dataclass(slots=True)
class _Standing:
    raised: bool = False
    raised_s: float = _OVER
    message: str = ""
    since_s: float | None = None


class Alerts:
    """Follows every rule through time and tells what is raised and cleared."""

    def __init__(self, rules: tuple[Rule, ...]) -> None:
        self._rules = rules
        self._standing = {rule.alert: _Standing() for rule in rules}
        self._raised: set[str] = set()
        self.counts: Counter[str] = Counter()

    def update(self, now: Situation) -> list[Alert]:
        """Weigh every rule, in the order of the table (causes stand before what yields to them)."""
        return [alert for rule in self._rules if (alert := self._weigh(rule, now)) is not None]

    def standing(self, now: Situation) -> list[Alert]:
        """The alerts raised and not cleared, in today's words."""
        return [
            self._event(rule, AlertState.RAISED, words, now.time_s, now.elapsed_s)
            for rule in self._rules
            if self._standing[rule.alert].raised
            and (words := rule.message(now) or self._standing[rule.alert].message)
        ]

    def acknowledge(self, alert: str, time_s: float, elapsed_s: float | None) -> Alert | None:
        """A person has seen it; None if it does not stand."""
        standing = self._standing.get(alert)
        if standing is None or not standing.raised:
            return None
        rule = next(rule for rule in self._rules if rule.alert == alert)
        return self._event(rule, AlertState.ACKNOWLEDGED, standing.message, time_s, elapsed_s)

    def _weigh(self, rule: Rule, now: Situation) -> Alert | None:
        standing = self._standing[rule.alert]
        if self._any_raised(rule.held_by):
            standing.since_s = None
            return None
        yields = self._any_raised(rule.yields_to)
        measured = None if yields else rule.measure(now)
        measure = _OVER if measured is None else measured
        if standing.raised:
            due = measure < rule.clear_below
            delay_s = 0.0 if yields else rule.off_delay_s
        else:
            rested = now.time_s - standing.raised_s >= rule.again_after_s
            due = measure >= 1.0 and rested
            delay_s = rule.on_delay_s
        if not due:
            standing.since_s = None
            return None
        if standing.since_s is None:
            standing.since_s = now.time_s
        if now.time_s - standing.since_s < delay_s:
            return None
        standing.since_s = None
        standing.raised = not standing.raised
        if standing.raised:
            self._raised.add(rule.alert)
            standing.raised_s = now.time_s
            standing.message = rule.message(now)
            self.counts[rule.alert] += 1
        else:
            self._raised.discard(rule.alert)
        state = AlertState.RAISED if standing.raised else AlertState.CLEARED
        return self._event(rule, state, standing.message, now.time_s, now.elapsed_s)

    def _any_raised(self, alerts: tuple[str, ...]) -> bool:
        # One that a person has turned off is not in the table, and never stands.
        return not self._raised.isdisjoint(alerts)

    @staticmethod
    def _event(
        rule: Rule, state: AlertState, message: str, time_s: float, elapsed_s: float | None
    ) -> Alert:
        return Alert(time_s, elapsed_s, rule.alert, rule.family, rule.priority, state, message)
