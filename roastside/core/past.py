"""What past roasts of a reference tell of where its milestones come."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import median

# What is believed before there are past roasts, and how many of them it counts for. First crack
# is heard at about the same bean temperature from batch to batch; by how much it differs is an
# assumption from memory, no source, and so is how far a hand drops from the moment aimed for.
_CRACK_SD_C = 0.5
_HAND_SD_S = 6.0
_WORTH_ROASTS = 4.0

# A roast further than this from the middle of all was marked at a wrong moment, or was another
# coffee's. Where roasts differ much among themselves more is let pass: this many of their standard
# deviations, found by the median of the distances, which for a normal spread is 1 / 1.4826 of one.
# The numbers are choices, no source.
_ODD_C = 4.0
_ODD_S = 20.0
_ODD_DEVIATIONS = 3.0 * 1.4826

_NUMBER = r"([0-9]{1,4}(?:\.[0-9]{1,6})?)"
_WORDS = re.compile(
    rf"first_crack_c={_NUMBER} sd_c={_NUMBER} drop_sd_s={_NUMBER} roasts=([0-9]{{1,6}})"
)


@dataclass(frozen=True, slots=True)
class Habits:
    """Bean temperature expected at first crack with its spread (°C), and the spread of drop (s).

    `first_crack_c` None: nothing is known but the reference. `roasts` is how many past ones told.
    """

    first_crack_c: float | None = None
    first_crack_sd_c: float = _CRACK_SD_C
    drop_sd_s: float = _HAND_SD_S
    roasts: int = 0

    def in_words(self) -> str:
        """For the header of a recording, so that a replay knows what the live roast knew."""
        if self.first_crack_c is None:
            return ""
        return (
            f"first_crack_c={self.first_crack_c:.2f} sd_c={self.first_crack_sd_c:.3f}"
            f" drop_sd_s={self.drop_sd_s:.2f} roasts={self.roasts}"
        )


NOTHING_LEARNED = Habits()


def habits_from_words(words: str) -> Habits:
    """What `Habits.in_words` wrote; nothing learned if it is anything else."""
    found = _WORDS.fullmatch(words.strip())
    if found is None:
        return NOTHING_LEARNED
    return Habits(float(found[1]), float(found[2]), float(found[3]), int(found[4]))


def learned(
    reference_c: float | None,
    first_cracks_c: Sequence[float],
    development_s: float | None,
    developments_s: Sequence[float],
) -> Habits:
    """Habits from past roasts of one reference; nothing learned if none of them can be believed.

    `reference_c`, `development_s`: its own bean temperature at first crack, and development, None
    if not marked; the sequences are the same of past roasts. The reference counts as one roast for
    the mean, and what is assumed beforehand as four for the spread, as a normal-inverse-gamma prior
    does (Gelman and others, "Bayesian Data Analysis", 3rd edition 2013, section 3.3). Odd roasts
    are left out. The spread is that of the next roast: of the roasts, and of their mean.
    """
    if not first_cracks_c:
        return NOTHING_LEARNED
    own_c = [] if reference_c is None else [reference_c]
    believed = _believed(own_c, first_cracks_c, _ODD_C)
    past_c = [value for value in first_cracks_c if believed(value)]
    if not past_c:
        return NOTHING_LEARNED
    told_c = past_c + [value for value in own_c if believed(value)]
    mean_c = sum(told_c) / len(told_c)
    squares = sum((value - mean_c) ** 2 for value in told_c)
    variance = (_WORTH_ROASTS * _CRACK_SD_C**2 + squares) / (_WORTH_ROASTS + len(told_c) - 1)
    crack_sd_c = sqrt(variance * (1.0 + 1.0 / len(told_c)))
    return Habits(mean_c, crack_sd_c, _drop_sd_s(development_s, developments_s), len(past_c))


def _drop_sd_s(aimed_for_s: float | None, developments_s: Sequence[float]) -> float:
    if aimed_for_s is None:
        return _HAND_SD_S
    believed = _believed([aimed_for_s], developments_s, _ODD_S)
    off = [(value - aimed_for_s) ** 2 for value in developments_s if believed(value)]
    return sqrt((_WORTH_ROASTS * _HAND_SD_S**2 + sum(off)) / (_WORTH_ROASTS + len(off)))


def _believed(own: Sequence[float], past: Sequence[float], odd: float) -> Callable[[float], bool]:
    """Whether a value is near the middle of all, `odd` being too far away.

    The reference's own counts twice for the middle: so a first roast that is odd can not move it,
    while three that agree among themselves can.
    """
    values = [*own, *own, *past]
    middle = median(values)
    distance = median(abs(value - middle) for value in values)
    furthest = max(odd, _ODD_DEVIATIONS * distance)
    return lambda value: abs(value - middle) <= furthest
