"""Can I trust the number? What is wrong with the probes, and how well they are sampled."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from roastside.core.leaps import LeapJudge
from roastside.core.misread import MisreadDetector
from roastside.core.quality import Quality, QualityMeter
from roastside.core.rate import Estimate
from roastside.core.sampling import SamplingWatch, in_bursts
from roastside.core.stuck import StuckDetector
from roastside.core.units import CELSIUS, Degrees

NO_FAULTS: Mapping[str, str] = MappingProxyType({})

_OPEN_READINGS = 2

_SPIKES = 3
_SPIKE_SHARE = 0.01

_STEADY_SHARE = 0.2
_STEP_SHOWN_C = 0.04


class Trust:
    """Watches the readings of one roast for signs that they are not what they seem.

    `judge` every reading in order; `follow` those it believes once the curve has taken them in.
    """

    def __init__(self, degrees: Degrees = CELSIUS) -> None:
        self._degrees = degrees
        self._leaps = LeapJudge()
        self._meter = QualityMeter()
        self._sampling = SamplingWatch()
        self._stuck = StuckDetector()
        self._misread = MisreadDetector()
        self._spiky = False
        self._useless = 0
        self._useless_s = 0.0
        self._leapt = False

    @property
    def quality(self) -> Quality:
        """The sampling of the last minute, made anew every two seconds."""
        return self._meter.quality

    @property
    def began_anew(self) -> bool:
        """Whether the reading judged last is the first believed one after leaps."""
        return self._leaps.began_anew

    @property
    def suspects_stuck(self) -> bool:
        """Whether the value may be stuck, so that it says nothing about the course."""
        return self._stuck.suspects

    def judge(self, time_s: float, bean_c: float | None) -> bool:
        """Whether a reading is to be believed; None is a reading without a bean temperature."""
        believed = bean_c is not None and self._leaps.believes(time_s, bean_c)
        if self._meter.update(time_s, bean_c, believed):
            quality = self._meter.quality
            self._sampling.update(quality)
            self._spiky = quality.spikes > 0 and (
                self._spiky or (quality.spikes >= _SPIKES and quality.spike_share >= _SPIKE_SHARE)
            )
        if believed:
            self._useless = 0
        else:
            self._useless += 1
            self._useless_s = time_s
            self._leapt = bean_c is not None
        return believed

    def follow(
        self,
        time_s: float,
        bean_c: float,
        air_c: float | None,
        estimate: Estimate | None,
        charge_s: float | None,
        turned: bool,
        dropped: bool,
    ) -> None:
        """Take in a believed reading: stream s, °C; `estimate` is the curve's of this moment."""
        self._misread.update(time_s, bean_c, air_c, charge_s, turned, dropped)
        if dropped:
            self._stuck = StuckDetector()
            return
        changed = self._stuck.update(time_s, bean_c, air_c, self._meter.noise, charge_s)
        if changed and estimate is not None:
            self._stuck.moving(estimate.rate_c_per_min, estimate.rate_sd)

    def faults(self, now_s: float, heard_s: float, silent_after_s: float) -> Mapping[str, str]:
        """What is wrong at a moment: alert id to the words for it.

        `heard_s` is when the last believed reading came, after which `silent_after_s` is too long.
        """
        found: dict[str, str] = {}
        # Useless readings that go on for half that time are a probe's fault, not the line's.
        kept_on = self._useless_s - heard_s >= silent_after_s / 2.0
        if (
            self._useless >= _OPEN_READINGS
            and kept_on
            and round(now_s - heard_s, 3) >= silent_after_s
        ):
            found["probe_open"] = self._open_words()
        if self._stuck.stuck:
            found["probe_stuck"] = (
                f"check bean probe, roast by eye: stuck at {self._temperature(self._stuck.value_c)}"
                f" for {self._stuck.still_s:.0f} s"
            )
        misread = self._misread
        if misread.swapped:
            found["probes_swapped"] = "swap the plugs of bean and air, or their places in --wire"
        if misread.fahrenheit_c is not None:
            found["wrong_unit"] = (
                f"set the probe's unit to °F: it read {misread.fahrenheit_c:.0f}, too hot for °C"
            )
        sampling, quality = self._sampling, self.quality
        if sampling.slow and quality.interval_s is not None:
            found["slow_sampling"] = (
                f"set the adapter faster: a reading in {quality.interval_s:.1f} s blurs the rate"
            )
        if sampling.bursts:
            found["unsteady_sampling"] = "send readings one by one: they come late, several at once"
        elif sampling.drifted and quality.interval_s is not None and sampling.usual_s is not None:
            found["unsteady_sampling"] = (
                f"check the adapter: a reading in {quality.interval_s:.1f} s, "
                f"at first in {sampling.usual_s:.1f} s"
            )
        if self._spiky:
            found["spikes"] = (
                "lead probe wires away from motor and mains: "
                f"{_percent(quality.spike_share)} spikes"
            )
        return found or NO_FAULTS

    def _open_words(self) -> str:
        if not self._leapt:
            return "check bean probe and plug, roast by eye: it reads nothing"
        leapt_to = self._temperature(self._leaps.leapt_to_c)
        return f"check bean probe and plug, roast by eye: it leapt to {leapt_to}"

    def _temperature(self, value_c: float | None) -> str:
        return f"{self._degrees.temperature(value_c):.0f} {self._degrees.unit}"


def quality_words(quality: Quality, degrees: Degrees = CELSIUS) -> list[str]:
    """The sampling in plain lines for people: spacing, noise, and what is missing or wild."""
    if quality.interval_s is None or quality.readings_per_s is None:
        return ["too few readings yet to tell how good they are"]
    return [
        f"{_spacing_words(quality)}, {_steadiness_words(quality)}",
        _noise_words(quality, degrees),
        f"{_share_words(quality.missing_share, 'missing', 'nothing missing')}, "
        f"{_share_words(quality.spike_share, 'spikes', 'no spikes')}",
    ]


def _spacing_words(quality: Quality) -> str:
    rate = quality.readings_per_s or 0.0
    if rate >= 0.95:
        return f"{rate:.1f} readings a second"
    return f"a reading every {1.0 / rate:.1f} s"


def _steadiness_words(quality: Quality) -> str:
    if in_bursts(quality):
        return "in bursts"
    jitter_s = quality.jitter_s or 0.0
    steady = jitter_s <= _STEADY_SHARE * (quality.interval_s or 0.0)
    off = f"±{jitter_s * 1000.0:.0f} ms" if jitter_s < 0.1 else f"±{jitter_s:.1f} s"
    return f"{'steady' if steady else 'uneven'} ({off})"


def _noise_words(quality: Quality, degrees: Degrees) -> str:
    noise = degrees.difference(quality.noise_sd_c) or 0.0
    words = f"noise {noise:.2f} {degrees.unit}"
    if quality.step_c is None:
        return words
    if quality.step_c < _STEP_SHOWN_C:
        return f"{words}, fine steps"
    return f"{words}, steps of {degrees.difference(quality.step_c):.2f} {degrees.unit}"


def _share_words(share: float, what: str, none: str) -> str:
    return f"{_percent(share)} {what}" if share > 0.0 else none


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f} %" if share < 0.0995 else f"{100.0 * share:.0f} %"
