"""One reference out of several repeats: their mean, and how far they differ as its corridor."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean, median

import numpy as np

from roastside.core.change import figures_of
from roastside.core.cues import Cue
from roastside.core.errors import UsageError
from roastside.core.monotone import Monotone
from roastside.core.readings import ONCE_ONLY, MarkName
from roastside.core.reference import GRID_S, Reference
from roastside.core.shared_cues import shared_cues
from roastside.core.side_by_side import comparison_words
from roastside.core.smooth import Curve
from roastside.core.spread import USUAL_SPREAD_C, corridor, rms
from roastside.core.units import CELSIUS, Degrees

_LANDMARKS = (MarkName.YELLOWING, MarkName.FIRST_CRACK)
_LEAST_APART_S = 5.0

# A roast disagrees when it lies farther than both from most of the others. Choices.
_FAR_C = 3.0
_TIMES_FARTHER = 3.0


@dataclass(frozen=True, slots=True)
class Disagreement:
    """A roast that is not like the others: which of those given, and a sentence about it."""

    index: int
    words: str


def mean_of_repeats(title: str, roasts: Sequence[Reference]) -> Reference:
    """The mean of two or more repeats, with their spread as its corridor.

    Before averaging each is laid so that charge, turning point, yellowing, first crack and drop
    fall on their mean times, by a smooth stretching of time between them: the mean has the mean
    stage lengths, and its bends are not smeared (registration to landmarks: Ramsay and Silverman,
    Functional Data Analysis, 2nd edition, chapter 7). A mark or cue is kept if most roasts have it.
    A roast weighs less where its readings were missing. The corridor is of the departures at the
    same elapsed time, as a live roast is held against it.
    Raises UsageError with fewer than two roasts, or for one that lacks a drop.
    """
    if len(roasts) < 2:
        raise UsageError("a mean needs at least two roasts; choose another good repeat")
    landmarks = _landmarks(roasts)
    mean_s = landmarks.mean(axis=0)
    warps = [Monotone(mean_s, own_s) for own_s in landmarks]
    back = [Monotone(own_s, mean_s) for own_s in landmarks]
    end = int(mean_s[-1] / GRID_S + 1e-9) + 1
    elapsed_s = GRID_S * np.arange(end, dtype=np.float64)
    laid = [_laid(roast, warp, elapsed_s) for roast, warp in zip(roasts, warps, strict=True)]
    bean_c, slope, doubt_c = weighed_mean(*map(np.array, zip(*laid, strict=True)))
    marks = _marks(roasts, mean_s, back)
    mean = Reference.from_curve(title, elapsed_s, bean_c, slope, marks, doubt_c=doubt_c)
    departures_c = np.array([_bean_c(roast, elapsed_s) - bean_c for roast in roasts])
    known = np.array([_trusted(_doubt_c(roast, elapsed_s)) for roast in roasts])
    wide_c = corridor(departures_c, round(mean.lowest_s / GRID_S), known)
    mean = replace(
        mean, corridor_c=wide_c.tolist(), turning_point_s=mean.marks[MarkName.TURNING_POINT]
    )
    aligned = [
        [
            replace(cue, elapsed_s=at)
            for cue, at in zip(roast.cues, _moved(roast.cues, laid), strict=True)
        ]
        for roast, laid in zip(roasts, back, strict=True)
    ]
    cues = shared_cues(aligned, mean.end_s)
    return replace(mean, cues=tuple(mean.cue(at_s, words) for at_s, words in cues))


def weighed_mean(
    bean_c: Curve, slope_c_per_s: Curve, doubt_c: Curve
) -> tuple[Curve, Curve, Curve | None]:
    """Mean, its slope, and its doubt, (m,) each, of n curves at the same moments, (n, m) each.

    Each weighs by how well it is known beside how repeats usually differ; where all are known
    alike that is the plain mean. Doubt is None if no curve is doubted anywhere.
    """
    if not np.any(doubt_c):
        return np.mean(bean_c, axis=0), np.mean(slope_c_per_s, axis=0), None
    weights = _trusted(doubt_c)
    weights /= np.sum(weights, axis=0)
    mean_c = np.sum(weights * bean_c, axis=0)
    # As the weights change the mean moves from one curve towards another.
    moving = np.gradient(weights, GRID_S, axis=1)
    slope = np.sum(weights * slope_c_per_s + moving * (bean_c - mean_c), axis=0)
    return mean_c, slope, np.sqrt(np.sum((weights * doubt_c) ** 2, axis=0))


def _trusted(doubt_c: Curve) -> Curve:
    """How much a curve counts, 1 where it is known."""
    trusted: Curve = 1.0 / (1.0 + (doubt_c / USUAL_SPREAD_C) ** 2)
    return trusted


def disagreeing(roasts: Sequence[Reference], degrees: Degrees = CELSIUS) -> list[Disagreement]:
    """The roasts that lie far from most of the others, and in what they differ."""
    if len(roasts) < 2:
        return []
    end = min(len(roast.bean_c) for roast in roasts)
    begin = round(max(roast.lowest_s for roast in roasts) / GRID_S)
    curves = np.array([roast.bean_c[begin:end] for roast in roasts])
    elapsed_s = GRID_S * np.arange(begin, end, dtype=np.float64)
    known = np.array([_trusted(_doubt_c(roast, elapsed_s)) for roast in roasts])
    apart = [
        sorted(rms(one - other, known[i] * known[k]) for k, other in enumerate(curves) if k != i)
        for i, one in enumerate(curves)
    ]
    # How far away the nearer half of the others is: one stray does not make the good ones bad.
    off_c = [distances[(len(distances) - 1) // 2] for distances in apart]
    limit_c = _FAR_C if len(roasts) == 2 else max(_FAR_C, _TIMES_FARTHER * median(off_c))
    found = []
    for i, roast in enumerate(roasts):
        if off_c[i] > limit_c:
            others = [other for k, other in enumerate(roasts) if k != i]
            whole = others[0] if len(others) == 1 else mean_of_repeats("the others", others)
            differs = comparison_words(figures_of(whole), figures_of(roast), degrees)
            size = degrees.difference(off_c[i]) or 0.0
            found.append(
                Disagreement(
                    i,
                    f"{roast.title} lies {size:.1f} {degrees.unit} from the others on the whole: "
                    f"{' '.join(differs)}",
                )
            )
    return found


def _landmarks(roasts: Sequence[Reference]) -> Curve:
    """Elapsed s of charge, turning point, what all have of the others, and drop; shape (n, k)."""
    shared = [name for name in _LANDMARKS if all(name in roast.marks for roast in roasts)]
    rows = []
    for roast in roasts:
        if MarkName.DROP not in roast.marks:
            raise UsageError(
                f"{roast.title} has no drop, so nobody knows where it ends; mark its drop, or "
                "leave it out"
            )
        row = [
            0.0,
            roast.turning_point_s,
            *(roast.marks[name] for name in shared),
            roast.marks[MarkName.DROP],
        ]
        if min(np.diff(row)) < _LEAST_APART_S:
            raise UsageError(
                f"the marks of {roast.title} are not in the order of a roast, or almost on each "
                "other; correct them, or leave it out"
            )
        rows.append(row)
    return np.array(rows)


def _laid(roast: Reference, warp: Monotone, elapsed_s: Curve) -> tuple[Curve, Curve, Curve]:
    """Temperature, slope and doubt of a roast with its time stretched to the mean's."""
    own_s, stretch = warp.at(elapsed_s)
    slope = np.interp(own_s, roast.arrays[0], np.array(roast.slope_c_per_s))
    return _bean_c(roast, own_s), slope * stretch, _doubt_c(roast, own_s)


def _doubt_c(roast: Reference, elapsed_s: Curve) -> Curve:
    if roast.doubt_c is None:
        return np.zeros_like(elapsed_s)
    doubt_c: Curve = np.interp(elapsed_s, roast.arrays[0], np.array(roast.doubt_c))
    return doubt_c


def _bean_c(roast: Reference, elapsed_s: Curve) -> Curve:
    """Its temperatures, beyond its end along its last slope."""
    grid_s, bean_c, _ = roast.arrays
    beyond_s = np.maximum(elapsed_s - roast.end_s, 0.0)
    return np.interp(elapsed_s, grid_s, bean_c) + roast.slope_c_per_s[-1] * beyond_s


def _marks(
    roasts: Sequence[Reference], mean_s: Curve, back: Sequence[Monotone]
) -> dict[str, float]:
    """The mean place of every mark that most roasts have, in the order of a roast."""
    marks: dict[str, float] = {}
    for name in ONCE_ONLY:
        places = [
            float(laid.at(np.array([roast.marks[name]]))[0][0])
            for roast, laid in zip(roasts, back, strict=True)
            if name in roast.marks
        ]
        if 2 * len(places) > len(roasts):
            marks[name] = round(fmean(places), 3)
    marks[MarkName.TURNING_POINT] = round(float(mean_s[1]), 3)
    return {name: marks[name] for name in ONCE_ONLY if name in marks}


def _moved(cues: Sequence[Cue], laid: Monotone) -> list[float]:
    at_s: list[float] = laid.at(np.array([cue.elapsed_s for cue in cues]))[0].tolist()
    return at_s
