"""What past roasts of a reference tell of where its milestones come."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

# What is believed before there are past roasts, and how many of them it counts for. First crack
# is heard at about the same bean temperature from batch to batch; by how much it differs is an
# assumption from memory, no source, and so is how far a hand drops from the moment aimed for.
_CRACK_SD_C = 0.5
_HAND_SD_S = 3.0
_WORTH_ROASTS = 4.0

_WORDS = re.compile(
    r"first_crack_c=(-?\d+(?:\.\d+)?) sd_c=(\d+(?:\.\d+)?) drop_sd_s=(\d+(?:\.\d+)?)"
    r" roasts=(\d{1,6})"
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
    reference_c: float,
    first_cracks_c: Sequence[float],
    development_s: float | None,
    developments_s: Sequence[float],
) -> Habits:
    """Habits from past roasts of one reference.

    `reference_c`, `development_s`: its own bean temperature at first crack, and development;
    the sequences are the same of past roasts. The reference counts as one roast for the mean,
    and what is assumed beforehand as four for the spread, as a normal-inverse-gamma prior does
    (Gelman and others, "Bayesian Data Analysis", 3rd edition 2013, section 3.3); so one odd roast
    does not upset anything. The spread is that of the next roast: of the roasts, and of their mean.
    """
    n = len(first_cracks_c)
    mean_c = (reference_c + sum(first_cracks_c)) / (1 + n)
    squares = sum((value - mean_c) ** 2 for value in first_cracks_c)
    if n:
        squares += (reference_c - mean_c) ** 2
    variance = (_WORTH_ROASTS * _CRACK_SD_C**2 + squares) / (_WORTH_ROASTS + n)
    crack_sd_c = (variance * (1.0 + 1.0 / (1 + n))) ** 0.5 if n else _CRACK_SD_C
    drop_sd_s = _HAND_SD_S
    if development_s is not None and developments_s:
        off = sum((value - development_s) ** 2 for value in developments_s)
        count = _WORTH_ROASTS + len(developments_s)
        drop_sd_s = ((_WORTH_ROASTS * _HAND_SD_S**2 + off) / count) ** 0.5
    return Habits(mean_c if n else None, crack_sd_c, drop_sd_s, n)
