"""A probe check as it was asked for: the device, the baths, and what comes of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from roastside.core.boiling import Boiling
from roastside.core.errors import UsageError
from roastside.live.calibrating import (
    ICE,
    BathStep,
    Calibrating,
    boiling_step,
    outcome_words,
    probe_kind,
    usual_person,
)
from roastside.live.calibrations import checked_channel
from roastside.live.line import chosen_line
from roastside.live.settings import load_settings, save_settings
from roastside.probes.bath import STEADY_FOR_S
from roastside.probes.calibrate import Calibration, calibration_from
from roastside.probes.opening import device_source
from roastside.probes.source import RoastClock, Source
from roastside.probes.thermocouple import Kind
from roastside.record.format import BEAN


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person wants. Empty texts: as the settings say, and the system's user for `person`.

    `ice` and `boiling`: which baths, neither meaning both. `place`: where the water boils.
    """

    port: str = ""
    wire: str = ""
    baud: int | None = None
    kind: str = ""
    channel: str = BEAN
    person: str = ""
    ice: bool = False
    boiling: bool = False
    place: Boiling | None = None
    steady_for_s: float = STEADY_FOR_S

    @property
    def needs_place(self) -> bool:
        """Whether water is to be boiled nobody knows where."""
        return self.place is None and (self.boiling or not self.ice)


@dataclass(frozen=True, slots=True)
class Check:
    """A device, not yet opened, whose probe is taken through its baths."""

    source: Source
    calibrating: Calibrating
    kind: Kind | None
    person: str

    def calibration(self) -> Calibration | None:
        """What came of the baths so far, dated today; None before the first."""
        points = self.calibrating.points
        return calibration_from(points, date.today(), self.person) if points else None

    def outcome(self) -> list[str]:
        """The same in sentences."""
        found = self.calibration()
        return outcome_words(self.calibrating.measured, found, self.kind) if found else []

    def keep(self, calibration: Calibration) -> Calibration | None:
        """Store it in the settings; the one it replaces. Raises UsageError or StoreError."""
        settings = load_settings()
        channel = self.calibrating.channel
        kept = {**settings.calibration, channel: calibration}
        save_settings(replace(settings, calibration=kept))
        return settings.calibration.get(channel)


def prepare(wish: Wish) -> Check:
    """The check that is wanted. Raises UsageError with a sentence if something is missing."""
    line = chosen_line(wish.port, wish.baud, wish.wire)
    known = load_settings().probe
    channel = checked_channel(wish.channel)
    # The settings tell the type of the bean probe they name, and of no other.
    usual_kind = known.type if (line.port, channel) == (known.port, BEAN) else ""
    kind = probe_kind(channel, line.wire, wish.kind or usual_kind)
    clock = RoastClock()
    return Check(
        device_source(line.port, line.wire, line.baud, clock, bean_needed=channel == BEAN),
        Calibrating(channel, _steps(wish), wish.steady_for_s),
        kind,
        wish.person or usual_person(),
    )


def _steps(wish: Wish) -> list[BathStep]:
    both = wish.ice == wish.boiling
    steps = [ICE] if wish.ice or both else []
    if wish.boiling or both:
        if wish.place is None:
            raise UsageError(
                "where water boils depends on the place: give its altitude in metres (--altitude) "
                "or the air's pressure in hPa (--pressure), or take the ice bath only (--ice)"
            )
        steps.append(boiling_step(wish.place))
    return steps
