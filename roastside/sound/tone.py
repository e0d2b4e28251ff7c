"""A quiet tone that follows the roast: high ahead, low behind, none inside the corridor."""

from __future__ import annotations

from dataclasses import dataclass
from math import copysign, isfinite

from roastside.core.events import Sample
from roastside.core.plan import RoastPlan


@dataclass(frozen=True, slots=True)
class Tone:
    """What should sound now. level: its peak as a share of full volume, 0 for silence."""

    pitch_hz: float = 440.0
    level: float = 0.0


SILENCE = Tone()

# All of these are choices. High and low are more than an octave apart, as few people can name a
# note that stands alone; the farther from the middle, the farther the roast is off. The tone fades
# in with the distance from the corridor, so that it can not flicker at its edge.
LEVEL = 0.08
_EDGE_SEMITONES = 7.0
_FAR_SEMITONES = 12.0
_FULL_AT = 1.5
_FAR_AT = 3.0
_MIDDLE_HZ = 440.0


def tone_for(sample: Sample, plan: RoastPlan) -> Tone:
    """The tone for where the roast is. Silence where nothing is known."""
    shares = [
        value / tolerance
        for value, tolerance in (
            (sample.deviation_c, sample.tolerance_c or plan.tolerance_c),
            (sample.surely_ahead_s, plan.tolerance_s),
        )
        if value is not None and isfinite(value)
    ]
    return tone_at(max(shares, key=abs, default=0.0))


def tone_at(off: float) -> Tone:
    """The tone so far from the reference: 1 is the corridor's upper edge, -1 its lower.

    Silence between the two.
    """
    beyond = abs(off) - 1.0
    if beyond <= 0.0:
        return SILENCE
    far = min(beyond / (_FAR_AT - 1.0), 1.0)
    semitones = _EDGE_SEMITONES + far * (_FAR_SEMITONES - _EDGE_SEMITONES)
    return Tone(
        pitch_hz=_MIDDLE_HZ * 2.0 ** (copysign(semitones, off) / 12.0),
        level=LEVEL * min(beyond / (_FULL_AT - 1.0), 1.0),
    )
