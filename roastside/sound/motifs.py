"""Which sound an alert has: its rhythm says how soon to act, its melody what it is about.

Rhythm, numbers of pulses and levels of harmonics follow IEC 60601-1-8, tables 3 and 4; the melodies
are our own. Knows no numpy: `tones` makes sound of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from roastside.core.events import Alert, Family, Priority


class Kind(StrEnum):
    """What a sound is about."""

    BEHIND = "behind"
    AHEAD = "ahead"
    MILESTONE = "milestone"
    PROBE = "probe"
    RECORDING = "recording"
    SAFETY = "safety"


@dataclass(frozen=True, slots=True)
class Rhythm:
    """A burst of pulses, seconds. A pulse lasts, and its start is told, between 90 % points."""

    pulse_s: float
    starts_s: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Timbre:
    """Amplitudes of the fundamental and its harmonics, in order."""

    amplitudes: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Melody:
    """A note to begin from, and the steps above it of a group of three and a group of two."""

    home_hz: float
    semitones: tuple[int, int, int, int, int]


_FIVE_S = (0.0, 0.2, 0.4, 0.8, 1.0)
"""Three and two, with one beat left out between the groups."""

RHYTHMS: dict[Priority, Rhythm] = {
    Priority.LOW: Rhythm(0.175, (0.0, 0.35)),
    Priority.MEDIUM: Rhythm(0.175, (0.0, 0.35, 0.7)),
    Priority.HIGH: Rhythm(0.12, _FIVE_S),
    Priority.CRITICAL: Rhythm(0.12, (*_FIVE_S, *(round(1.9 + at_s, 3) for at_s in _FIVE_S))),
}
"""One or two pulses for low, three for medium; high is half of what critical says twice."""

ATTEND_SOON = Timbre((1.0, 0.7, 0.5, 0.35, 0.25))
COME_NOW = Timbre((0.9, 1.0, 0.95, 0.85, 0.7, 0.55, 0.4))
"""Mellow and bright. All within 15 dB of the fundamental, a factor of 5.6 (table 4)."""

TIMBRES: dict[Priority, Timbre] = {
    Priority.LOW: ATTEND_SOON,
    Priority.MEDIUM: ATTEND_SOON,
    Priority.HIGH: COME_NOW,
    Priority.CRITICAL: COME_NOW,
}

LEVELS: dict[Priority, float] = {
    Priority.LOW: 0.5,
    Priority.MEDIUM: 0.7,
    Priority.HIGH: 0.9,
    Priority.CRITICAL: 1.0,
}
"""Peak as a share of full volume."""

# Fundamentals stay within 260 and 750 Hz, so that four harmonics above them lie within 300 and
# 4000 Hz (table 4), where a laptop's small speaker is at its best. Ahead and behind begin on the
# same note, which stands for the reference, as the tone of `follower` does.
MELODIES: dict[Kind, Melody] = {
    Kind.BEHIND: Melody(440.0, (0, -4, -9, -4, -9)),
    Kind.AHEAD: Melody(440.0, (0, 4, 9, 4, 9)),
    Kind.MILESTONE: Melody(392.0, (0, 0, 7, 0, 7)),
    Kind.PROBE: Melody(330.0, (0, 1, 0, 1, 0)),
    Kind.RECORDING: Melody(392.0, (0, 0, -5, 0, -5)),
    Kind.SAFETY: Melody(370.0, (12, 0, 12, 0, 12)),
}

MEANINGS: dict[tuple[Kind, Priority], str] = {
    (Kind.SAFETY, Priority.CRITICAL): "danger: cut the heat, look at the beans",
    (Kind.PROBE, Priority.HIGH): "a probe is lost: check it, roast by eye and ear",
    (Kind.RECORDING, Priority.HIGH): "the roast is not being recorded: see to the disk",
    (Kind.MILESTONE, Priority.HIGH): "drop now",
    (Kind.MILESTONE, Priority.MEDIUM): "come to the roaster: it is nearly time to drop",
    (Kind.BEHIND, Priority.MEDIUM): "below the corridor, or stalling: more heat",
    (Kind.AHEAD, Priority.MEDIUM): "above the corridor: less heat",
    (Kind.PROBE, Priority.MEDIUM): "a probe reads wrong: check it when you pass",
    (Kind.BEHIND, Priority.LOW): "getting low, slow or late: a little more heat",
    (Kind.AHEAD, Priority.LOW): "getting high, quick or early: a little less heat",
    (Kind.MILESTONE, Priority.LOW): "a step of the roast is due: listen for crack, or look",
    (Kind.PROBE, Priority.LOW): "readings are poor: look after the probe when there is time",
}
"""What each sound in use tells a person to do, the gravest first."""


@dataclass(frozen=True, slots=True)
class Motif:
    """The sound of one kind of alert of one priority."""

    kind: Kind
    priority: Priority

    @property
    def name(self) -> str:
        """A name to ask for it by, such as `behind-medium`."""
        return f"{self.kind}-{self.priority}"

    @property
    def meaning(self) -> str:
        """What to do, in one line."""
        return MEANINGS.get((self.kind, self.priority), f"{self.kind}, {self.priority} priority")

    @property
    def rhythm(self) -> Rhythm:
        """When its pulses sound."""
        return RHYTHMS[self.priority]

    @property
    def timbre(self) -> Timbre:
        """How they sound."""
        return TIMBRES[self.priority]

    @property
    def level(self) -> float:
        """Its peak, as a share of full volume."""
        return LEVELS[self.priority]

    @property
    def pitches_hz(self) -> tuple[float, ...]:
        """The fundamental of each pulse."""
        melody = MELODIES[self.kind]
        steps = (melody.semitones[n % 5] for n in range(len(self.rhythm.starts_s)))
        return tuple(melody.home_hz * 2.0 ** (step / 12.0) for step in steps)


MOTIFS: tuple[Motif, ...] = tuple(Motif(kind, priority) for kind, priority in MEANINGS)
"""All sounds in use, the gravest first."""

_SIDES: dict[str, Kind] = {
    "below_reference": Kind.BEHIND,
    "leaving_low": Kind.BEHIND,
    "behind_reference": Kind.BEHIND,
    "rate_low": Kind.BEHIND,
    "stall": Kind.BEHIND,
    "sudden_fall": Kind.BEHIND,
    "above_reference": Kind.AHEAD,
    "leaving_high": Kind.AHEAD,
    "ahead_of_reference": Kind.AHEAD,
    "rate_high": Kind.AHEAD,
    "rebound": Kind.AHEAD,
}
"""Alerts that ask for more heat sound behind, those that ask for less sound ahead."""

_FAMILIES: dict[Family, Kind] = {
    Family.DEVIATION: Kind.MILESTONE,
    Family.TIMING: Kind.MILESTONE,
    Family.PROBE: Kind.PROBE,
    Family.RECORDING: Kind.RECORDING,
    Family.SAFETY: Kind.SAFETY,
}


def motif_for(alert: Alert) -> Motif:
    """The sound of an alert, whether a rule of ours or of another version raised it."""
    return Motif(_SIDES.get(alert.alert, _FAMILIES[alert.family]), alert.priority)
