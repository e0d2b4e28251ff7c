"""A probe taken through its baths: what to do, how far it has come, and what came out."""

from __future__ import annotations

import getpass
from collections.abc import Sequence
from dataclasses import dataclass

from roastside.core.boiling import Boiling
from roastside.core.readings import Item, Reading
from roastside.core.text import clean
from roastside.probes.bath import STEADY_FOR_S, Bath, Settling
from roastside.probes.calibrate import Calibration, Point, beyond_tolerance, thermocouple_kind
from roastside.probes.thermocouple import Kind
from roastside.probes.wire.spec import wire_kind, wire_options
from roastside.record.format import AIR, BEAN

CAUTION = (
    "Boiling water and steam scald. Take the probe out of a cold, unplugged roaster; only its "
    "metal tip goes into water. Keep the water away from plugs, adapter, computer and mains."
)

SILENT_AFTER_S = 3.0

MILLIVOLTS = "millivolts"

_SHOWN_C = 200.0
"""Where a correction is shown to people: near first crack and drop."""


@dataclass(frozen=True, slots=True)
class BathStep:
    """A bath to put the probe in: its temperature in °C, how far that may be off, what to do."""

    name: str
    truth_c: float
    doubt_c: float
    how: str


ICE = BathStep(
    "ice bath",
    0.0,
    0.1,
    "Fill a deep cup with crushed ice and top it up with cold water, so that ice reaches to the "
    "bottom. Hold the probe's tip in the middle and stir.",
)


def boiling_step(boiling: Boiling) -> BathStep:
    """Boiling water, where it is known how hot that is."""
    return BathStep(
        "boiling water",
        boiling.boiling_c,
        boiling.doubt_c,
        f"Here water boils at {boiling}. Keep plain water at a rolling boil. Hold the probe's tip "
        "a few centimetres under the surface, off the bottom and the walls.",
    )


class Calibrating:
    """Readings in, one bath after the other; a bath is done when the probe is steady in it."""

    def __init__(
        self, channel: str, steps: Sequence[BathStep], steady_for_s: float = STEADY_FOR_S
    ) -> None:
        """`channel`: the column of the probe, such as bean_c.

        `measured` is what was found so far, `heard_s` when the probe last gave a temperature.
        """
        self.channel = channel
        self.measured: list[tuple[BathStep, Point]] = []
        self.heard_s: float | None = None
        self._coming = list(steps)
        self._steady_for_s = steady_for_s
        self._bath = self._next_bath()

    @property
    def step(self) -> BathStep | None:
        """The bath the probe belongs in now; None when all are done."""
        return self._coming[0] if self._coming else None

    @property
    def settling(self) -> Settling:
        """How the probe does in it."""
        return self._bath.settling

    @property
    def points(self) -> list[Point]:
        """What was measured so far."""
        return [point for _, point in self.measured]

    def silent(self, now_s: float) -> bool:
        """Whether the probe has given no temperature yet, or lately."""
        return self.heard_s is None or now_s - self.heard_s > SILENT_AFTER_S

    def feed(self, item: Item) -> Point | None:
        """Take what a source gave; the point that this completed, if it did."""
        reading_c = channel_c(item, self.channel) if isinstance(item, Reading) else None
        if reading_c is None:
            return None
        self.heard_s = item.time_s
        if not self._coming:
            return None
        self._bath.update(item.time_s, reading_c)
        point = self._bath.point()
        if point is not None:
            self.measured.append((self._coming[0], point))
            self.skip()
        return point

    def skip(self) -> None:
        """Go on to the next bath."""
        del self._coming[:1]
        self._bath = self._next_bath()

    def _next_bath(self) -> Bath:
        truth_c = self._coming[0].truth_c if self._coming else 0.0
        return Bath(truth_c, self._steady_for_s)


def probe_kind(channel: str, wire: str, given: str) -> Kind | None:
    """The type of a probe's thermocouple: as given, else as its millivolt wire says; None if it is
    not known. Raises UsageError for no such type."""
    kind = thermocouple_kind(given)
    if kind is None and wire_kind(wire) == MILLIVOLTS:
        options = wire_options(wire)
        own = options.get("air_type", "") if channel == AIR else ""
        kind = thermocouple_kind(own or options.get("type", ""))
    return kind


def channel_c(reading: Reading, channel: str) -> float | None:
    """The temperature of one channel, by its column's name."""
    if channel == BEAN:
        return reading.bean_c
    return reading.air_c if channel == AIR else reading.extra.get(channel)


def point_words(step: BathStep, point: Point) -> str:
    """What a bath gave, in a sentence."""
    return (
        f"{step.name.capitalize()}: the probe reads {point.reading_c:.2f} °C, "
        f"{point.truth_c:.2f} °C is right."
    )


def outcome_words(
    measured: Sequence[tuple[BathStep, Point]], calibration: Calibration, kind: Kind | None
) -> list[str]:
    """What a calibration does and how sure it is, and a sentence for each point that is too far
    off for a probe of its kind."""
    shown_c = calibration.corrected(_SHOWN_C)
    doubt_c = max(step.doubt_c for step, _ in measured)
    if len(measured) > 1:
        # The line through two baths is drawn out, and a doubt about the hotter one with it.
        doubt_c *= _SHOWN_C / max(step.truth_c for step, _ in measured)
    sign = "−" if calibration.offset_c < 0.0 else "+"
    words = [
        f"Correction ({calibration.kind}): corrected = {calibration.gain:.4g} × reading {sign} "
        f"{abs(calibration.offset_c):.2f} °C. A reading of {_SHOWN_C:.0f} °C becomes "
        f"{shown_c:.1f} °C; what is not known of the baths makes that doubtful by about "
        f"{doubt_c:.1f} °C.",
    ]
    flags = [beyond_tolerance(point, kind) for _, point in measured]
    return words + [flag for flag in flags if flag]


def usual_person() -> str:
    """Who is likely sitting here: the name of the system's user, or `unknown`."""
    try:
        return clean(getpass.getuser(), 60)
    except (OSError, KeyError, ImportError):
        return "unknown"
