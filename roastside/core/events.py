"""What the fold says: the event stream of contract 4, as small frozen records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from math import isfinite
from typing import Any

from roastside.core.readings import MarkSource, Stage
from roastside.core.surely import FOUR_IN_FIVE, surely


class Family(StrEnum):
    """What kind of thing an alert is about."""

    DEVIATION = "deviation"
    TIMING = "timing"
    PROBE = "probe"
    SAFETY = "safety"
    RECORDING = "recording"


class Priority(StrEnum):
    """How soon a person must act."""

    LOW = "low"
    MEDIUM = "medium"
    HIGH = "high"
    CRITICAL = "critical"


class AlertState(StrEnum):
    """Where an alert is in its life."""

    RAISED = "raised"
    CLEARED = "cleared"
    ACKNOWLEDGED = "acknowledged"


@dataclass(frozen=True, slots=True)
class Sample:
    """One accepted reading with everything computed from it.

    Temperatures °C, rates °C per minute, `ahead_s` seconds (positive: ahead of the reference).
    None is unknown. For drawing and not part of the stream: `level_c`, the bean temperature freed
    of noise and spikes, the standard deviations of `deviation_c` and `ahead_s`, `tolerance_c`,
    half the width of the reference's own corridor if that counts, and `extra`, further channels
    by column name.
    """

    time_s: float
    elapsed_s: float | None
    bean_c: float | None
    air_c: float | None
    rate_c_per_min: float | None
    rate_sd: float | None
    stage: Stage
    has_reference: bool = False
    reference_bean_c: float | None = None
    reference_rate_c_per_min: float | None = None
    deviation_c: float | None = None
    ahead_s: float | None = None
    level_c: float | None = None
    tolerance_c: float | None = None
    deviation_sd_c: float | None = None
    ahead_sd_s: float | None = None
    extra: Mapping[str, float] = field(default_factory=dict)

    @property
    def surely_ahead_s(self) -> float | None:
        """The least of `ahead_s` to count on."""
        return None if self.ahead_s is None else surely(self.ahead_s, self.ahead_sd_s)


@dataclass(frozen=True, slots=True)
class Marked:
    """A mark was placed, moved or withdrawn (`mark` is then `undo NAME`).

    `time_s` is the stream's time when it became known; `at_s` is the elapsed time it marks and
    `moment_s` the same in stream time (known even without a charge).
    """

    time_s: float
    elapsed_s: float | None
    mark: str
    at_s: float | None
    source: MarkSource
    value: str = ""
    note: str = ""
    moment_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Forecast:
    """When a milestone is expected, elapsed seconds, with an 80 % interval."""

    time_s: float
    elapsed_s: float | None
    milestone: str
    at_s: float
    low_s: float
    high_s: float

    @property
    def sd_s(self) -> float:
        """How unsure that is, a standard deviation."""
        return (self.high_s - self.at_s) / FOUR_IN_FIVE


@dataclass(frozen=True, slots=True)
class Alert:
    """Something a person should do something about."""

    time_s: float
    elapsed_s: float | None
    alert: str
    family: Family
    priority: Priority
    state: AlertState
    message: str


@dataclass(frozen=True, slots=True)
class Gap:
    """No reading came between `from_s` and `to_s` (stream time)."""

    time_s: float
    elapsed_s: float | None
    from_s: float
    to_s: float
    reason: str


@dataclass(frozen=True, slots=True)
class StageSpan:
    """How long a stage lasted, and its share of charge to drop (0 to 1)."""

    seconds: float
    share: float


@dataclass(frozen=True, slots=True)
class Summary:
    """The last word on a roast. Elapsed seconds throughout."""

    time_s: float
    elapsed_s: float | None
    duration_s: float | None
    marks: dict[str, float]
    stages: dict[str, StageSpan]
    development_s: float | None
    development_ratio: float | None
    max_deviation_c: float | None
    alerts: dict[str, int] = field(default_factory=dict)
    readings: int = 0
    missing: int = 0

    @property
    def alerts_in_ten_minutes(self) -> float | None:
        """How often an alert was raised, in ten minutes of roast; None without a duration.

        About one in ten minutes is what a person can live with for a whole shift, two the most
        that can be managed (EEMUA publication 191, as quoted at second hand); a roast is short, and
        its planned steps are among them.
        """
        if not self.duration_s:
            return None
        return 600.0 * sum(self.alerts.values()) / self.duration_s


Event = Sample | Marked | Forecast | Alert | Gap | Summary

_REFERENCE_KEYS = ("reference_bean_c", "reference_rate_c_per_min", "deviation_c", "ahead_s")


def as_record(event: Event) -> dict[str, Any]:
    """The event as a flat dict in contract 4's words, ready for JSON. Numbers rounded to 0.001."""
    match event:
        case Sample():
            record = _head("sample", event)
            for key in ("bean_c", "air_c", "rate_c_per_min", "rate_sd"):
                record[key] = _round(getattr(event, key))
            record["stage"] = str(event.stage)
            if event.has_reference:
                for key in _REFERENCE_KEYS:
                    record[key] = _round(getattr(event, key))
        case Marked():
            record = _head("mark", event)
            record |= {"mark": event.mark, "at_s": _round(event.at_s), "source": str(event.source)}
            if event.value:
                record["value"] = _number_or_text(event.value)
            if event.note:
                record["note"] = event.note
        case Forecast():
            record = _head("forecast", event)
            record["milestone"] = event.milestone
            for key in ("at_s", "low_s", "high_s"):
                record[key] = _round(getattr(event, key))
        case Alert():
            record = _head("alert", event)
            for key in ("alert", "family", "priority", "state", "message"):
                record[key] = str(getattr(event, key))
        case Gap():
            record = _head("gap", event)
            record |= {
                "from_s": _round(event.from_s),
                "to_s": _round(event.to_s),
                "reason": event.reason,
            }
        case Summary():
            record = _head("summary", event)
            record |= {
                "duration_s": _round(event.duration_s),
                "marks": {name: _round(at_s) for name, at_s in event.marks.items()},
                "stages": {
                    name: {"seconds": _round(span.seconds), "share": _round(span.share)}
                    for name, span in event.stages.items()
                },
                "development_s": _round(event.development_s),
                "development_ratio": _round(event.development_ratio),
                "max_deviation_c": _round(event.max_deviation_c),
                "alerts": event.alerts,
                "readings": event.readings,
                "missing": event.missing,
            }
    return record


def _head(name: str, event: Event) -> dict[str, Any]:
    return {
        "event": name,
        "time_s": _round(event.time_s),
        "elapsed_s": _round(event.elapsed_s),
    }


def _round(value: float | None) -> float | None:
    return None if value is None else round(value, 3)


def _number_or_text(value: str) -> float | str:
    try:
        number = float(value)
    except ValueError:
        return value
    return number if isfinite(number) else value
