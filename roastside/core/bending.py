"""Moving the points of a reference, with its marks, cues and corridor in step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from roastside.core.bends import Bend, warp
from roastside.core.errors import UsageError
from roastside.core.readings import MarkName, Stage
from roastside.core.reference import GRID_S, Reference
from roastside.core.smooth import Curve

_LEAST_STAGE_S = 15.0
_TURNING_S = 5.0
"""So soon after its lowest point a curve may still look flat."""

_BOUNDS: dict[Stage, tuple[MarkName | None, MarkName]] = {
    Stage.DRYING: (None, MarkName.YELLOWING),
    Stage.BROWNING: (MarkName.YELLOWING, MarkName.FIRST_CRACK),
    Stage.DEVELOPMENT: (MarkName.FIRST_CRACK, MarkName.DROP),
}


@dataclass(frozen=True, slots=True)
class Reshaped:
    """An edited curve; `was_s` tells where each of its points stood before, elapsed s."""

    reference: Reference
    was_s: Curve


def warped(reference: Reference, bends: Sequence[Bend]) -> Reshaped:
    """Each moment moved, with its temperature; marks, cues, corridor and doubt move along."""
    at_s, bean_c, slope = nodes(reference)
    moved_s, stretch = warp(bends, at_s)
    places = np.array([*reference.marks.values(), *(cue.elapsed_s for cue in reference.cues)])
    places_s = np.round(warp(bends, places)[0], 3).tolist()
    marks = dict(zip(reference.marks, places_s, strict=False))
    bent = Reference.from_curve(
        reference.title,
        moved_s,
        bean_c,
        slope / stretch,
        marks,
        _along(reference, reference.corridor_c, at_s),
        _along(reference, reference.doubt_c, at_s),
    )
    cues_s = places_s[len(marks) :]
    cues = (bent.cue(at, cue.words) for at, cue in zip(cues_s, reference.cues, strict=True))
    turns_s = marks.get(MarkName.TURNING_POINT, reference.turning_point_s)
    bent = replace(bent, cues=tuple(cues), turning_point_s=turns_s)
    return Reshaped(bent, np.interp(bent.arrays[0], moved_s, at_s))


def lifted(reference: Reference, lift_c: Curve, lift_slope: Curve) -> Reshaped:
    """The temperatures changed, each moment where it was."""
    at_s, bean_c, slope = nodes(reference)
    bent = Reference.from_curve(
        reference.title,
        at_s,
        bean_c + lift_c,
        slope + lift_slope,
        reference.marks,
        _along(reference, reference.corridor_c, at_s),
        _along(reference, reference.doubt_c, at_s),
    )
    cues = tuple(bent.cue(cue.elapsed_s, cue.words) for cue in reference.cues)
    bent = replace(bent, cues=cues, turning_point_s=reference.turning_point_s)
    return Reshaped(bent, bent.arrays[0])


def nodes(reference: Reference) -> tuple[Curve, Curve, Curve]:
    """Elapsed s, °C and °C/s of the grid up to the drop, and at the drop itself."""
    at_s, bean_c, _ = reference.arrays
    slope = np.array(reference.slope_c_per_s)
    drop_s = reference.marks.get(MarkName.DROP)
    if drop_s is None:
        return at_s, bean_c, slope
    last_c, last_slope = reference.at(drop_s)
    n = int(np.searchsorted(at_s, drop_s - 1e-6))
    return (
        np.append(at_s[:n], drop_s),
        np.append(bean_c[:n], last_c),
        np.append(slope[:n], last_slope),
    )


def _along(reference: Reference, values: list[float] | None, at_s: Curve) -> Curve | None:
    """What is known of each point of the reference's grid, at other times."""
    if values is None:
        return None
    found: Curve = np.interp(at_s, reference.arrays[0], np.array(values))
    return found


def span(reference: Reference, stage: Stage) -> tuple[float, float]:
    """Where a stage begins and ends, elapsed s; drying from where the curve begins to rise."""
    begins, ends = _BOUNDS[stage]
    for name in (begins, ends):
        if name is not None and name not in reference.marks:
            raise UsageError(
                f"{stage} of {reference.title} cannot be changed, as {name.replace('_', ' ')} is "
                "not marked in it; mark it in the roast and make the reference again"
            )
    rises_s = max(reference.lowest_s, reference.turning_point_s)
    begins_s = rises_s if begins is None else max(reference.marks[begins], rises_s)
    ends_s = reference.marks[ends]
    if ends_s - begins_s < _LEAST_STAGE_S:
        raise UsageError(
            f"{stage} of {reference.title} lasts less than {_LEAST_STAGE_S:g} s, so it cannot be "
            "changed; look at the marks of the roast it was made from"
        )
    return begins_s, ends_s


def refuse_falling(reference: Reference) -> None:
    """Raises UsageError if the curve does not rise all the way after its turning point."""
    first = round((reference.lowest_s + _TURNING_S) / GRID_S)
    falls = np.array(reference.slope_c_per_s[first:]) <= 0.0
    if falls.any():
        at_s = round((first + int(np.argmax(falls))) * GRID_S)
        raise UsageError(
            f"{reference.title} cannot be edited, as it falls at {at_s // 60}:{at_s % 60:02d} "
            "after its turning point; choose a reference that rises all the way"
        )
