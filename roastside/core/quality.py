"""How well a probe is sampled: spacing, noise, steps, what is missing and what is wild."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from roastside.core.noise import LOWEST_SD_C, NoiseMeter

WINDOW_S = 60.0
_EVERY_S = 2.0

_GAP_S = 10.0
"""A longer pause is a gap, told as such; it says nothing about the adapter's spacing."""

_LOST_INTERVALS = 1.6
_PAUSE_INTERVALS = 2.5
_PAUSE_S = 1.0

_HABIT = 3
_ALIKE = 0.8

_MAD_TO_SD = 1.4826
"""Standard deviation of a normal distribution over its median absolute deviation."""

# A reading this far from both its neighbours is wild; no bean probe turns so sharply. Choices.
_WILD_C = 5.0
_WILD_SDS = 8.0
_WILD_STEPS = 3.0


@dataclass(frozen=True, slots=True)
class Quality:
    """The sampling of the last minute. Seconds, °C, shares from 0 to 1; None is unknown.

    `interval_s` is the median spacing and `jitter_s` its robust standard deviation; `pauses` are
    spacings far above the usual one, and `pause_share` the share of the time they take up.
    `usual_s` is how long one usually waits for news: half the time passes in spacings as long or
    longer (in bursts it is the pause). `missing_share` counts readings without a usable bean
    temperature and those that never came.
    """

    seconds: float = 0.0
    readings: int = 0
    readings_per_s: float | None = None
    interval_s: float | None = None
    jitter_s: float | None = None
    usual_s: float | None = None
    pauses: int = 0
    pause_share: float = 0.0
    noise_sd_c: float | None = None
    step_c: float | None = None
    missing_share: float = 0.0
    spikes: int = 0

    @property
    def spike_share(self) -> float:
        """Share of readings that are wild, alone among good ones."""
        return self.spikes / self.readings if self.readings else 0.0


class QualityMeter:
    """Follows the sampling, one reading at a time, and sums it up every two seconds."""

    def __init__(self) -> None:
        # It begins at the lowest and learns: noise is not claimed before it was seen.
        self.noise = NoiseMeter(LOWEST_SD_C)
        self.quality = Quality()
        self._came: deque[tuple[float, float | None, bool]] = deque()
        self._spikes: deque[float] = deque()
        self._last: tuple[float, float] | None = None
        self._before_c: float | None = None
        self._due_s = float("-inf")

    def update(self, time_s: float, bean_c: float | None, believed: bool) -> bool:
        """Take in a reading, `bean_c` None if it has none; whether `quality` is new."""
        since_s = max(time_s - self._came[-1][0], 0.0) if self._came else None
        self._came.append((time_s, since_s, bean_c is not None and believed))
        while self._came[0][0] < time_s - WINDOW_S:
            self._came.popleft()
        if bean_c is not None:
            self._look_for_spike(time_s, bean_c)
            if believed:
                self.noise.update(time_s, bean_c)
        if time_s < self._due_s:
            return False
        self._due_s = time_s + _EVERY_S
        self.quality = self._sum_up(time_s)
        return True

    def _look_for_spike(self, time_s: float, bean_c: float) -> None:
        """The reading before is wild if it stands off from both its neighbours, to one side."""
        before_c, last = self._before_c, self._last
        if before_c is not None and last is not None:
            up_c, down_c = last[1] - before_c, last[1] - bean_c
            if up_c * down_c > 0.0 and min(abs(up_c), abs(down_c)) > self._wild_c():
                self._spikes.append(last[0])
        while self._spikes and self._spikes[0] < time_s - WINDOW_S:
            self._spikes.popleft()
        self._before_c = None if last is None else last[1]
        self._last = (time_s, bean_c)

    def _wild_c(self) -> float:
        steps_c = _WILD_STEPS * (self.noise.step_c or 0.0)
        return max(_WILD_C, _WILD_SDS * self.noise.sd_c, steps_c)

    def _sum_up(self, time_s: float) -> Quality:
        spacings = sorted(since_s for _, since_s, _ in self._came if since_s is not None)
        if len(spacings) < 3:
            return Quality(readings=len(self._came))
        steady = [s for s in spacings if s <= _GAP_S] or spacings
        median_s = _median(steady)
        mean_s = sum(steady) / len(steady)
        longer_s = max(_PAUSE_S, _PAUSE_INTERVALS * mean_s)
        pauses = [s for s in steady if s > longer_s]
        lost = 0
        if median_s > mean_s / 2.0:  # in bursts the median tells nothing
            lost = sum(round(s / median_s) - 1 for s in spacings if s > _LOST_INTERVALS * median_s)
        useless = sum(not usable for _, _, usable in self._came)
        return Quality(
            seconds=time_s - self._came[0][0],
            readings=len(self._came),
            readings_per_s=1.0 / mean_s if mean_s > 0.0 else None,
            interval_s=median_s,
            jitter_s=_MAD_TO_SD * _median(sorted(abs(s - median_s) for s in steady)),
            usual_s=_usual_s(steady),
            pauses=len(pauses),
            pause_share=sum(pauses) / max(sum(steady), 1e-9),
            noise_sd_c=self.noise.sd_c,
            step_c=self.noise.step_c,
            missing_share=(useless + lost) / (len(self._came) + lost),
            spikes=len(self._spikes),
        )


def _usual_s(ordered: list[float]) -> float | None:
    """The spacing in which the middle of the time falls; None if it is not a habit yet."""
    half_s, passed_s = sum(ordered) / 2.0, 0.0
    for spacing_s in ordered:
        passed_s += spacing_s
        if passed_s >= half_s:
            habit = sum(s >= _ALIKE * spacing_s for s in ordered) >= _HABIT
            return spacing_s if habit else None
    return None


def _median(ordered: list[float]) -> float:
    middle = len(ordered) // 2
    if len(ordered) % 2:
        return ordered[middle]
    return (ordered[middle - 1] + ordered[middle]) / 2.0
