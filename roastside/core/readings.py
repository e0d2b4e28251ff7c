"""What flows through the house: readings, marks, and the silence between them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

LOWEST_C = -50.0
HIGHEST_C = 500.0
"""Contract 3: a cell outside this span is a missing reading."""

ABSOLUTE_ZERO_C = -273.15

_NOTHING: Mapping[str, float] = MappingProxyType({})


class MarkName(StrEnum):
    """The moments and remarks a roast file can hold (contract 3)."""

    CHARGE = "charge"
    TURNING_POINT = "turning_point"
    YELLOWING = "yellowing"
    FIRST_CRACK = "first_crack"
    FIRST_CRACK_END = "first_crack_end"
    SECOND_CRACK = "second_crack"
    DROP = "drop"
    CONTROL = "control"
    COMMENT = "comment"


REPEATABLE = frozenset({MarkName.CONTROL, MarkName.COMMENT})
"""Marks that may stand any number of times; every other is once-only."""

ONCE_ONLY: tuple[str, ...] = tuple(str(name) for name in MarkName if name not in REPEATABLE)
"""Once-only marks in the order in which a roast meets them."""

PROBE_LOST = "probe lost: "
"""A remark that begins so tells why the link was lost; the recording keeps it for a replay."""

LINE_LOST = "the line to "
"""The reason of an outage begins so if the adapter's line itself is gone: unplugged, say."""

UNDO = "undo "
"""A mark `undo NAME` withdraws the once-only mark NAME."""


class MarkSource(StrEnum):
    """Who placed a mark."""

    AUTO = "auto"
    HAND = "hand"
    FILE = "file"


class Stage(StrEnum):
    """Where in the roast we are."""

    PREHEAT = "preheat"
    DRYING = "drying"
    BROWNING = "browning"
    DEVELOPMENT = "development"
    COOLING = "cooling"


@dataclass(frozen=True, slots=True)
class Reading:
    """One look at the probes. Temperatures in °C, time in seconds since the recording began.

    `bean_c` or `air_c` is None when that probe gave nothing usable; `extra` holds further
    channels by column name (each ends in `_c`). `partial`: only the probes of an adapter without
    the bean probe were looked at, so that nothing is missing.
    """

    time_s: float
    bean_c: float | None
    air_c: float | None = None
    extra: Mapping[str, float] = field(default_factory=lambda: _NOTHING)
    partial: bool = False


@dataclass(frozen=True, slots=True)
class Mark:
    """A moment or remark. `mark` is a MarkName, `undo NAME`, or a word of someone else's.

    `time_s` is when it happened, which may be earlier than the reading before it.
    """

    time_s: float
    mark: str
    value: str = ""
    note: str = ""
    source: MarkSource = MarkSource.HAND


@dataclass(frozen=True, slots=True)
class Tick:
    """Time has passed and nothing came: lets silence be noticed."""

    time_s: float


@dataclass(frozen=True, slots=True)
class Outage:
    """The link to the probe was lost at `time_s`, for `reason` (a phrase for people)."""

    time_s: float
    reason: str


@dataclass(frozen=True, slots=True)
class StoreFault:
    """The recording can not (`reason` given) or can again (`reason` empty) be stored."""

    time_s: float
    reason: str


Item = Reading | Mark | Tick | Outage | StoreFault
"""Everything the fold accepts."""


def plausible_c(value: float | None) -> float | None:
    """The value if it can be a temperature at a probe, else None (contract 3 limits, NaN too)."""
    if value is None or not LOWEST_C <= value <= HIGHEST_C:
        return None
    return value
