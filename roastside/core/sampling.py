"""Sampling that is too slow, or that comes unevenly."""

from __future__ import annotations

from roastside.core.quality import Quality

# Half a reading a second is what the rate of rise is made for; a tenth is for crystals that are
# off. These limits are choices, not taken from a source.
_SLOW_S = 2.2
_NO_LONGER_SLOW_S = 2.05
_JUDGE_AFTER_S = 20.0
_JUDGE_AFTER_READINGS = 8

_PAUSES = 4
_PAUSE_SHARE = 0.25

_USUAL_AFTER_S = 30.0
_USUAL_AFTER_READINGS = 15
_DRIFTED = 1.5
_BACK = 1.3


def in_bursts(quality: Quality) -> bool:
    """Whether readings come several at once, after pauses that take up a quarter of the time."""
    return quality.pauses >= _PAUSES and quality.pause_share >= _PAUSE_SHARE


class SamplingWatch:
    """Judges each new Quality: `slow`, `bursts` (late and several at once), `drifted`.

    Drifted: the spacing is one and a half times what it was at first, or less than two thirds.
    """

    def __init__(self) -> None:
        self.slow = False
        self.bursts = False
        self.drifted = False
        self.usual_s: float | None = None

    def update(self, quality: Quality) -> None:
        """Take in the sampling of the last minute."""
        interval_s = quality.interval_s
        enough = quality.seconds >= _JUDGE_AFTER_S and quality.readings >= _JUDGE_AFTER_READINGS
        if interval_s is None or not enough:
            return
        self.slow = interval_s > (_NO_LONGER_SLOW_S if self.slow else _SLOW_S)
        self.bursts = in_bursts(quality)
        self._weigh_drift(quality, interval_s)

    def _weigh_drift(self, quality: Quality, interval_s: float) -> None:
        if self.bursts or interval_s <= 0.0:
            return
        if self.usual_s is None:
            known = quality.seconds >= _USUAL_AFTER_S and quality.readings >= _USUAL_AFTER_READINGS
            self.usual_s = interval_s if known else None
            return
        ratio = max(interval_s / self.usual_s, self.usual_s / interval_s)
        self.drifted = ratio > (_BACK if self.drifted else _DRIFTED)
