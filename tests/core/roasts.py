"""Roasts whose truth is a closed formula, so that every check value is computed here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import exp, log
from random import Random

from hypothesis import settings

from roastside.core.alerts import Situation
from roastside.core.events import Event, Marked
from roastside.core.readings import Item, Mark, MarkSource, Reading
from roastside.core.reference import Reference
from roastside.core.session import Session

steady = settings(derandomize=True, deadline=None, max_examples=150)
"""Property tests that try the same examples on every run."""

CALM = Situation(
    time_s=0.0,
    elapsed_s=0.0,
    on_course=True,
    bean_c=150.0,
    rate_c_per_min=10.0,
    deviation_c=0.0,
    ahead_s=0.0,
    silent_s=0.0,
    silent_after_s=3.0,
    first_crack_in_s=None,
    development_left_s=None,
    store_fault="",
)
"""A moment of a roast with nothing to say about it."""


@dataclass(frozen=True)
class Truth:
    """What a probe of lag `lag_s` sees of one roast: °C, seconds; `drop_s` is elapsed.

    Before charge a preheated level that drifts; then L - A exp(-t/T) for the beans that warm
    towards L, and C exp(-t/lag) for the probe that comes down from the preheat; after the drop
    the probe settles to the air. Value and slope are exact.
    """

    charge_s: float = 40.0
    drop_s: float = 620.0
    preheat_c: float = 200.0
    drift_c_per_s: float = 0.0
    lag_s: float = 15.0
    begins_c: float = 60.0
    limit_c: float = 250.0
    warming_s: float = 430.0
    after_c: float = 120.0

    def bean_c(self, time_s: float) -> float:
        """The probe at a stream time."""
        elapsed_s = time_s - self.charge_s
        if elapsed_s < 0.0:
            return self.preheat_c + self.drift_c_per_s * elapsed_s
        if elapsed_s <= self.drop_s:
            return self._roasting_c(elapsed_s)
        hot_c = self._roasting_c(self.drop_s)
        return self.after_c + (hot_c - self.after_c) * exp(
            -(elapsed_s - self.drop_s) / (1.6 * self.lag_s)
        )

    def slope_c_per_s(self, elapsed_s: float) -> float:
        """Slope between charge and drop."""
        warming = (self.limit_c - self.begins_c) / self.warming_s
        plunge = (self.preheat_c - self.begins_c) / self.lag_s
        return warming * exp(-elapsed_s / self.warming_s) - plunge * exp(-elapsed_s / self.lag_s)

    @property
    def turning_point_s(self) -> float:
        """Elapsed seconds at which the slope is nought."""
        warming = (self.limit_c - self.begins_c) / self.warming_s
        plunge = (self.preheat_c - self.begins_c) / self.lag_s
        return log(plunge / warming) / (1.0 / self.lag_s - 1.0 / self.warming_s)

    def reaches_s(self, bean_c: float) -> float:
        """Elapsed seconds at which the rising curve meets a temperature (by bisection)."""
        low, high = self.turning_point_s, self.drop_s
        for _ in range(60):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self._roasting_c(middle) < bean_c else (low, middle)
        return low

    def _roasting_c(self, elapsed_s: float) -> float:
        warming_c = (self.limit_c - self.begins_c) * exp(-elapsed_s / self.warming_s)
        plunge_c = (self.preheat_c - self.begins_c) * exp(-elapsed_s / self.lag_s)
        return self.limit_c - warming_c + plunge_c


@dataclass(frozen=True)
class Probe:
    """How an adapter reports: spacing and its jitter (s), noise and step (°C), wild readings."""

    interval_s: float = 0.5
    noise_sd_c: float = 0.12
    step_c: float = 0.25
    jitter_s: float = 0.0
    spike_share: float = 0.0
    seed: int = 1


QUIET = Probe(noise_sd_c=0.0, step_c=0.0)


def readings(truth: Truth, probe: Probe | None = None, until_s: float = 720.0) -> list[Reading]:
    """What the adapter reports from stream second 0 to `until_s`."""
    probe = probe or Probe()
    random = Random(probe.seed)
    found = []
    for k in range(int(until_s / probe.interval_s) + 1):
        late_s = random.uniform(0.0, probe.jitter_s)
        at_s = round(k * probe.interval_s + late_s, 3)
        seen_c = truth.bean_c(at_s) + random.gauss(0.0, probe.noise_sd_c)
        if random.random() < probe.spike_share:
            seen_c += random.choice((-1.0, 1.0)) * random.uniform(15.0, 100.0)
        if probe.step_c:
            seen_c = round(seen_c / probe.step_c) * probe.step_c
        found.append(Reading(at_s, seen_c))
    return found


def reference_of(truth: Truth, probe: Probe | None = None, **elapsed: float) -> Reference:
    """The roast of `truth` as a reference, with further marks by name in elapsed seconds."""
    stream = {name: at + truth.charge_s for name, at in {"drop": truth.drop_s, **elapsed}.items()}
    marks = {"charge": truth.charge_s, **stream}
    return Reference.from_readings("house", readings(truth, probe), marks)


def by_hand(time_s: float, mark: str) -> Mark:
    """A mark that a person made."""
    return Mark(time_s, mark, source=MarkSource.HAND)


def told(session: Session, items: Iterable[Item]) -> list[Event]:
    """Everything the session says to these items."""
    return [event for item in items for event in session.feed(item)]


def marked(events: Sequence[Event], mark: str) -> list[Marked]:
    """The events that tell of one mark, in order."""
    return [event for event in events if isinstance(event, Marked) and event.mark == mark]
