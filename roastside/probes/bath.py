"""A probe in a bath of known temperature: when it is steady, and what it reads then."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import fmean, median, pstdev

from roastside.probes.calibrate import Point

STEADY_FOR_S = 30.0
"""How long a probe must be steady; a thick one of time constant 15 s then lies within 0.1 °C."""

LARGEST_DRIFT_C = 0.15
"""How far the mean of the later half of that time may be from that of the earlier half."""

LARGEST_SPREAD_C = 1.0
"""Standard deviation; an adapter that shows whole degrees stays below it."""

FARTHEST_C = 15.0
"""A reading further from the truth is no error of a probe but a mistake of another kind."""

FEWEST = 8
LONGEST_GAP_S = 5.0
LARGEST_SPIKE_SHARE = 0.2

_SPIKE_DEVIATIONS = 5.0
_LEAST_DEVIATION_C = 0.25
_MAD_TO_DEVIATION = 1.4826
"""For normally distributed noise: 1 / Φ⁻¹(3/4)."""


class BathState(StrEnum):
    """How far a probe in a bath has come."""

    GATHERING = "gathering"
    MOVING = "moving"
    STEADY = "steady"
    FAR = "far"


@dataclass(frozen=True, slots=True)
class Settling:
    """The probe in its bath just now. Temperatures °C; `mean_c` and `spread_c` (the standard
    deviation) are of `count` readings, spikes left out, and None before there are any.

    `progress`: how much of the time it takes has been gathered, 0 to 1. `moved_c`: how far the
    later half of it is above the earlier.
    """

    state: BathState
    progress: float
    latest_c: float | None = None
    mean_c: float | None = None
    spread_c: float | None = None
    moved_c: float | None = None
    count: int = 0


class Bath:
    """Readings of one probe in, until they are steady at a temperature that can be the truth.

    They are steady when over `steady_for_s` without a gap they spread little and their later half
    agrees with their earlier. What counts is the mean of the later half: a probe creeps up to its
    bath, so the earlier half lies further off.
    """

    def __init__(self, truth_c: float, steady_for_s: float = STEADY_FOR_S) -> None:
        self.truth_c = truth_c
        self._steady_for_s = steady_for_s
        self._kept: deque[tuple[float, float]] = deque()
        self._begun_s = 0.0
        self.settling = Settling(BathState.GATHERING, 0.0)

    def update(self, time_s: float, reading_c: float) -> Settling:
        """Take a reading, °C as the probe gave it; times never go back."""
        if not self._kept or time_s - self._kept[-1][0] > LONGEST_GAP_S:
            self._kept.clear()
            self._begun_s = time_s
        self._kept.append((time_s, reading_c))
        while self._kept[0][0] < time_s - self._steady_for_s:
            self._kept.popleft()
        self.settling = self._look(time_s)
        return self.settling

    def point(self) -> Point | None:
        """What the probe reads and should; None as long as it is not steady."""
        settling = self.settling
        if settling.state is not BathState.STEADY or settling.mean_c is None:
            return None
        return Point(round(settling.mean_c, 3), round(self.truth_c, 3))

    def _look(self, now_s: float) -> Settling:
        latest_c = self._kept[-1][1]
        progress = min((now_s - self._begun_s) / self._steady_for_s, 1.0)
        if progress < 1.0 or len(self._kept) < FEWEST:
            return Settling(BathState.GATHERING, progress, latest_c)
        half_s = now_s - self._steady_for_s / 2.0
        usual = _without_spikes(self._kept)
        earlier = [reading_c for time_s, reading_c in usual if time_s < half_s]
        later = [reading_c for time_s, reading_c in usual if time_s >= half_s]
        if len(usual) < (1.0 - LARGEST_SPIKE_SHARE) * len(self._kept) or not (earlier and later):
            return Settling(BathState.MOVING, progress, latest_c)
        mean_c, spread_c = fmean(later), pstdev(later)
        moved_c = mean_c - fmean(earlier)
        still = abs(moved_c) <= LARGEST_DRIFT_C and spread_c <= LARGEST_SPREAD_C
        state = BathState.MOVING
        if still:
            far = abs(mean_c - self.truth_c) > FARTHEST_C
            state = BathState.FAR if far else BathState.STEADY
        return Settling(state, progress, latest_c, mean_c, spread_c, moved_c, len(later))


def far_off(mean_c: float, truth_c: float) -> str:
    """The sentence for a probe that reads steadily what its bath cannot be."""
    likely = "the probe is not in that bath"
    if abs(mean_c - (1.8 * truth_c + 32.0)) < FARTHEST_C / 2.0:
        likely = "the device sends °F (give --wire with unit=F)"
    elif abs(mean_c - (truth_c + 273.15)) < FARTHEST_C:
        likely = "the device sends K (give --wire with unit=K)"
    return (
        f"the probe reads {mean_c:.1f} °C where {truth_c:.1f} °C is right, too far off to be "
        f"corrected: most likely {likely}; else check the thermocouple's type, and that the right "
        "probe is plugged in."
    )


def _without_spikes(kept: Sequence[tuple[float, float]]) -> list[tuple[float, float]]:
    """Readings within five robust standard deviations (median, median absolute deviation)."""
    middle_c = median(reading_c for _, reading_c in kept)
    mad_c = median(abs(reading_c - middle_c) for _, reading_c in kept)
    limit_c = _SPIKE_DEVIATIONS * max(_MAD_TO_DEVIATION * mad_c, _LEAST_DEVIATION_C)
    return [(at_s, reading_c) for at_s, reading_c in kept if abs(reading_c - middle_c) <= limit_c]
