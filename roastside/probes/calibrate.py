"""What a probe's readings are corrected by, from an ice bath, boiling water or both."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any, NamedTuple

from roastside.core.errors import UsageError
from roastside.core.text import clean
from roastside.probes.thermocouple import KINDS, Kind, tolerance_c

USUAL_KIND: Kind = "K"
"""What a probe is held to when its type is not known; the others in use differ little."""

_GAIN_DIGITS = 6
_OFFSET_DIGITS = 3


class Point(NamedTuple):
    """What a probe read, uncorrected, where the truth was known; both °C."""

    reading_c: float
    truth_c: float

    @property
    def error_c(self) -> float:
        """How much too high the probe reads."""
        return self.reading_c - self.truth_c


@dataclass(frozen=True, slots=True)
class Calibration:
    """corrected = gain × raw + offset_c, found by `person` on `date` from one or two points.

    Raises UsageError if it could not be undone: a gain that is not above zero, or no number.
    """

    gain: float
    offset_c: float
    date: date
    person: str
    points: tuple[Point, ...] = ()

    def __post_init__(self) -> None:
        if not (isfinite(self.gain) and self.gain > 0.0 and isfinite(self.offset_c)):
            raise UsageError(
                f"a calibration with gain {self.gain} and offset {self.offset_c} °C cannot be "
                "applied; calibrate the probe again"
            )

    @property
    def kind(self) -> str:
        """Of what it is made, in words."""
        return "offset" if self.gain == 1.0 else "gain and offset"

    def corrected(self, raw_c: float) -> float:
        """The temperature meant by what the probe reads."""
        return self.gain * raw_c + self.offset_c

    def raw(self, corrected_c: float) -> float:
        """What the probe read: the inverse of `corrected`."""
        return (corrected_c - self.offset_c) / self.gain

    def __str__(self) -> str:
        """As roast files say it; the person stands last, as a name may hold spaces."""
        return (
            f"gain={self.gain!r} offset_c={self.offset_c!r} date={self.date} person={self.person}"
        )


def calibration_from(points: Sequence[Point], day: date, person: str) -> Calibration:
    """One point gives an offset; two give the line through both. Raises ValueError otherwise.

    Gain and offset are rounded (to 0.000001 and 0.001 °C), so that every place that writes them
    down has the same numbers.
    """
    if len(points) == 1:
        gain, offset_c = 1.0, -points[0].error_c
    elif len(points) == 2 and points[0].reading_c != points[1].reading_c:
        (low_c, low_truth_c), (high_c, high_truth_c) = points
        gain = round((high_truth_c - low_truth_c) / (high_c - low_c), _GAIN_DIGITS)
        # From the middle, so that what rounding leaves is shared by both points.
        offset_c = (low_truth_c + high_truth_c) / 2.0 - gain * (low_c + high_c) / 2.0
    else:
        raise ValueError(f"a calibration needs one or two different points, not {points}")
    offset_c = round(offset_c, _OFFSET_DIGITS) + 0.0  # no -0.0
    return Calibration(gain, offset_c, day, clean(person, 60), tuple(points))


def calibration_from_words(text: str) -> Calibration:
    """Back from `str(calibration)`, without its points. Raises ValueError or UsageError."""
    numbers, sign, person = text.partition("person=")
    words: dict[str, Any] = dict(word.split("=", 1) for word in numbers.split())
    if not sign or words.keys() != {"gain", "offset_c", "date"}:
        raise ValueError(f"{text!r} is no calibration")
    day = date.fromisoformat(words["date"])
    return Calibration(float(words["gain"]), float(words["offset_c"]), day, person.strip())


def thermocouple_kind(text: str) -> Kind | None:
    """The type a person gave, in either case; None for none. Raises UsageError for no such type."""
    if not text.strip():
        return None
    for kind in KINDS:
        if kind == text.strip().upper():
            return kind
    raise UsageError(
        f"'{clean(text, 20)}' is no type of thermocouple known here; write one of "
        f"{', '.join(KINDS)}, or nothing."
    )


def beyond_tolerance(point: Point, kind: Kind | None) -> str:
    """A sentence if the probe is further off than a new one of its type may be, else empty.

    The tolerance is that of class 2 of IEC 60584-1; a probe of unknown type is held to type K's.
    """
    allowed_c = tolerance_c(kind or USUAL_KIND, point.truth_c)
    if allowed_c is None or abs(point.error_c) <= allowed_c:
        return ""
    named = f"type {kind}" if kind else f"unknown type (taken as {USUAL_KIND})"
    return (
        f"At {point.truth_c:.1f} °C the probe is {abs(point.error_c):.1f} °C too "
        f"{'high' if point.error_c > 0.0 else 'low'}; a new probe of {named}, class 2, may be off "
        f"by {allowed_c:.1f} °C. Check plug, cable and the adapter's type setting, or replace it; "
        "a correction hides the fault, and it may grow."
    )
