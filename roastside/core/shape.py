"""The shape of the rate of rise: what a roaster would point at, during the roast and after."""

from __future__ import annotations

from collections.abc import Mapping
from math import inf

from roastside.core.findings import Finding, FindingKind
from roastside.core.finished import FinishedRoast
from roastside.core.rate import SECONDS_PER_MINUTE, Estimate
from roastside.core.readings import MarkName
from roastside.core.swings import FallWatch, RiseWatch, StallWatch

Watch = FallWatch | RiseWatch | StallWatch

# Around first crack: by its mark or, until that stands, by the bean temperature. Choices.
_CRACK_FROM_S = -45.0
_CRACK_TO_S = 90.0
_CRACK_NEAR_C = 8.0

_REBOUND_WITHIN_S = 60.0

_SETTLED_S = 45.0
"""So long after the turning point the rate has left nought behind."""

_UNSEEN_S = 10.0
"""After so long without a rate to be believed, one from before says nothing of what comes, and
the rate is as long finding its feet."""

_LIVE_CHANCE_SDS = 1.0
"""Live estimates err for some 15 s alike, and a roast is long: extremes are lucky by about this."""

_PLUNGE_RATE = -10.0
"""Faster than this, °C/min, the bean probe falls only when the beans leave it."""


class ShapeWatch:
    """Watches the rate from the turning point to the drop, one estimate at a time.

    `sudden_fall`, `rebound`, `rise` and `stall` are what goes on at this moment, with its size so
    far, or None. `first_crack_c` is where first crack is expected while nobody has marked it.
    Estimates made while the probe is not to be believed, or while the beans seem to fall out,
    should be kept from it; when charge is moved, begin anew.
    """

    def __init__(self, first_crack_c: float = 196.0, chance_sds: float = _LIVE_CHANCE_SDS) -> None:
        self._near_c = first_crack_c - _CRACK_NEAR_C
        self._chance_sds = chance_sds
        self._over: list[Finding] = []
        self._seen_s = self._settled_s = -inf
        self._begin()

    def _begin(self) -> None:
        self._fall = FallWatch(self._chance_sds)
        self._rise = RiseWatch(self._chance_sds)
        self._stall = StallWatch()
        self._rise_kind = FindingKind.RISE

    @property
    def peak(self) -> tuple[float, float] | None:
        """When (elapsed s) and how high (°C/min) the rate peaked; None while it may yet."""
        return self._rise.peak

    @property
    def sudden_fall(self) -> Finding | None:
        return _going_on(self._fall, FindingKind.SUDDEN_FALL)

    @property
    def rebound(self) -> Finding | None:
        rises_after_a_fall = self._rise_kind is FindingKind.REBOUND
        return _going_on(self._rise, FindingKind.REBOUND) if rises_after_a_fall else None

    @property
    def rise(self) -> Finding | None:
        rises_by_itself = self._rise_kind is FindingKind.RISE
        return _going_on(self._rise, FindingKind.RISE) if rises_by_itself else None

    @property
    def stall(self) -> Finding | None:
        return _going_on(self._stall, FindingKind.STALL)

    @property
    def findings(self) -> list[Finding]:
        """All that was found so far, in the order in which it began."""
        going_on = (self.sudden_fall, self.rebound, self.rise, self.stall)
        found = self._over + [finding for finding in going_on if finding is not None]
        return sorted(found, key=lambda finding: finding.from_s)

    def update(
        self, estimate: Estimate, elapsed_s: float, marks: Mapping[str, float]
    ) -> list[Finding]:
        """Take in an estimate; what is found now for the first time, with its size so far.

        `marks`: elapsed seconds by mark name. Times must not go back. After a while without
        estimates it begins anew, unless a stall stands: that goes on until it is seen to be over.
        """
        turned_s = marks.get(MarkName.TURNING_POINT)
        if turned_s is None or elapsed_s < turned_s + _SETTLED_S:
            return []
        if elapsed_s - self._seen_s > _UNSEEN_S and not self._stall.standing:
            self._begin()
            self._settled_s = elapsed_s + _UNSEEN_S
        self._seen_s = elapsed_s
        if elapsed_s < self._settled_s:
            return []
        rate, sd = estimate.rate_c_per_min, estimate.rate_sd
        return self.follow(elapsed_s, estimate.bean_c, rate, sd, marks)

    def follow(
        self, elapsed_s: float, bean_c: float, rate: float, sd: float, marks: Mapping[str, float]
    ) -> list[Finding]:
        """The same of a temperature (°C), and a rate with its standard deviation (°C/min)."""
        turned_s = marks.get(MarkName.TURNING_POINT)
        if turned_s is None or elapsed_s < turned_s or rate < _PLUNGE_RATE:
            return []
        if elapsed_s > marks.get(MarkName.DROP, inf):
            return []
        fall, rise, stall = self._fall, self._rise, self._stall
        fell, rose, stalled = fall.standing, rise.standing, stall.standing
        fall.update(elapsed_s, rate, sd, self._near_crack(elapsed_s, bean_c, marks))
        rise.update(elapsed_s, rate, sd)
        if elapsed_s >= turned_s + _SETTLED_S:
            stall.update(elapsed_s, rate, sd)
        if fell == fall.standing and rose == rise.standing and stalled == stall.standing:
            return []
        if rise.standing and not rose:
            self._rise_kind = self._kind_of_rise(rise.from_s)
        turns = (
            (fell, fall, FindingKind.SUDDEN_FALL),
            (rose, rise, self._rise_kind),
            (stalled, stall, FindingKind.STALL),
        )
        self._over += [_finding(watch, kind) for was, watch, kind in turns if was > watch.standing]
        return [_finding(watch, kind) for was, watch, kind in turns if was < watch.standing]

    def _near_crack(self, elapsed_s: float, bean_c: float, marks: Mapping[str, float]) -> bool:
        crack_s = marks.get(MarkName.FIRST_CRACK)
        if crack_s is None:
            return bean_c >= self._near_c
        return _CRACK_FROM_S <= elapsed_s - crack_s <= _CRACK_TO_S

    def _kind_of_rise(self, from_s: float) -> FindingKind:
        fall = self._fall
        after_a_fall = fall.to_s > 0.0 and fall.from_s <= from_s <= fall.to_s + _REBOUND_WITHIN_S
        return FindingKind.REBOUND if after_a_fall else FindingKind.RISE


def shape_findings(roast: FinishedRoast) -> list[Finding]:
    """What the rate did in a finished roast, in the order in which it began.

    One finding tells of a rate that fell throughout, from its peak to the end, if it did.
    """
    curve, watch = roast.curve, ShapeWatch(chance_sds=0.0)
    rates = curve.slope_c_per_s * SECONDS_PER_MINUTE
    sds = curve.slope_sd_c_per_s * SECONDS_PER_MINUTE
    columns = (curve.time_s, curve.bean_c, rates, sds)
    for at_s, bean_c, rate, sd in zip(*(column.tolist() for column in columns), strict=True):
        watch.follow(at_s, bean_c, rate, sd, roast.marks)
    found, peak = watch.findings, watch.peak
    rose = {FindingKind.RISE, FindingKind.REBOUND} & {finding.kind for finding in found}
    if peak is not None and not rose:
        falling = Finding(
            FindingKind.FALLING, peak[0], float(curve.time_s[-1]), peak[1] - float(rates[-1])
        )
        return [falling, *found]
    return found


def _going_on(watch: Watch, kind: FindingKind) -> Finding | None:
    return _finding(watch, kind) if watch.standing else None


def _finding(watch: Watch, kind: FindingKind) -> Finding:
    return Finding(kind, watch.from_s, watch.to_s, watch.size)
