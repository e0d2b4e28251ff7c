"""A reference bent smoothly: a stage longer, a drop lower, a gentler start.

Every edit multiplies the rate by a factor that is 1 outside its span and comes and goes smoothly
(`bends.py`); a longer stage stretches time instead of temperature. As the factor stays between a
half and two, a curve that rises still rises.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from math import ceil, floor

import numpy as np

from roastside.core.bending import Reshaped, lifted, nodes, refuse_falling, span, warped
from roastside.core.bends import (
    START_STRONGEST,
    Bend,
    approach,
    departure,
    early,
    plateau,
    plateau_from_the_beginning,
    plateau_to_the_end,
)
from roastside.core.edits import Edit, EditKind
from roastside.core.errors import UsageError
from roastside.core.rate import SECONDS_PER_MINUTE
from roastside.core.readings import MarkName, Stage
from roastside.core.reference import GRID_S, Reference
from roastside.core.smooth import Curve
from roastside.core.units import CELSIUS, Degrees

LEAST_FACTOR, MOST_FACTOR = 0.5, 2.0
"""No edit changes the rate anywhere by more than this: beyond, it is another roast. A choice."""

USUAL_START = 0.1
"""A gentler or faster start without a number: so much less or more, where it is strongest."""

_RATE_SPAN_S = 60.0
_AROUND: dict[str, tuple[Stage, Stage | None]] = {
    MarkName.YELLOWING: (Stage.DRYING, Stage.BROWNING),
    MarkName.FIRST_CRACK: (Stage.BROWNING, Stage.DEVELOPMENT),
    MarkName.DROP: (Stage.DEVELOPMENT, None),
}


def reshape(reference: Reference, edits: Sequence[Edit], degrees: Degrees = CELSIUS) -> Reshaped:
    """The reference with all edits done; a rate last, as the others may change it.

    Raises UsageError, with the limit, for an edit that cannot be done.
    """
    refuse_falling(reference)
    done = Reshaped(reference, reference.arrays[0])
    for edit in sorted(edits, key=lambda edit: edit.kind is EditKind.RATE):
        step = _DO[edit.kind](done.reference, edit, degrees)
        grid_s = done.reference.arrays[0]
        done = Reshaped(step.reference, np.interp(step.was_s, grid_s, done.was_s))
    return done


def _length(reference: Reference, edit: Edit, degrees: Degrees) -> Reshaped:
    stage, longer_s = Stage(edit.where), edit.amount or 0.0
    begins_s, ends_s = span(reference, stage)
    shape = plateau_to_the_end if stage is Stage.DEVELOPMENT else plateau
    whole = Bend(begins_s, ends_s, shape)
    strength = longer_s / whole.lasting_s
    if not 1.0 / MOST_FACTOR <= 1.0 + strength <= 1.0 / LEAST_FACTOR:
        short = longer_s < 0.0
        most_s = (1.0 - 1.0 / MOST_FACTOR if short else 1.0 / LEAST_FACTOR - 1.0) * whole.lasting_s
        raise UsageError(
            f"{stage} of {reference.title} cannot be {abs(longer_s):g} s "
            f"{'shorter' if short else 'longer'}, as its rate would more than "
            f"{'double' if short else 'halve'}; {floor(most_s)} s is the most"
        )
    return warped(reference, [replace(whole, strength=strength)])


def _start(reference: Reference, edit: Edit, degrees: Degrees) -> Reshaped:
    """Less rate in the first half of drying, as much more in the second: yellowing stays."""
    begins_s, ends_s = span(reference, Stage.DRYING)
    rate = _rate(reference, begins_s + START_STRONGEST * (ends_s - begins_s))
    usual = USUAL_START if edit.faster else -USUAL_START
    share = usual if edit.amount is None else edit.amount / rate
    strength = 1.0 / (1.0 + share) - 1.0 if share > -1.0 else np.inf
    if abs(strength) > 0.5:
        # Where time is stretched by 1 + strength here, it is by 1 - strength in the second half.
        most = rate / 3.0 if share < 0.0 else rate
        raise UsageError(
            f"the start of {reference.title} cannot be {_shown(abs(share) * rate, degrees)}/min "
            f"{'gentler' if share < 0.0 else 'faster'}, as the rest of drying would have to make "
            f"up for too much; {_shown(most, degrees, floor)}/min is the most"
        )
    return warped(reference, [Bend(begins_s, ends_s, early, strength)])


def _rate_at(reference: Reference, edit: Edit, degrees: Degrees) -> Reshaped:
    """Another rate at a mark, made up for before and after it: no mark moves."""
    before, after = _AROUND[edit.where]
    (begins_s, mark_s) = span(reference, before)
    rate = _rate(reference, mark_s)
    wanted = rate + (edit.amount or 0.0)
    if not LEAST_FACTOR * rate <= wanted <= MOST_FACTOR * rate:
        low, high = (_shown(k * rate, degrees, r) for k, r in ((0.5, ceil), (2.0, floor)))
        raise UsageError(
            f"the rate at {edit.where.replace('_', ' ')} of {reference.title} cannot be "
            f"{_shown(wanted, degrees)}/min; it is {_shown(rate, degrees)}/min and can become "
            f"{low}/min to {high}/min"
        )
    strength = rate / wanted - 1.0
    bends = [Bend(mark_s - _near(mark_s - begins_s), mark_s, approach, strength)]
    if after is not None:
        _, ends_s = span(reference, after)
        bends.append(Bend(mark_s, mark_s + _near(ends_s - mark_s), departure, strength))
    return warped(reference, bends)


def _drop(reference: Reference, edit: Edit, degrees: Degrees) -> Reshaped:
    """Another temperature at drop, by another rate throughout development."""
    window = Bend(*span(reference, Stage.DEVELOPMENT), plateau_to_the_end)
    lift_c, lift_slope = _more_rate(reference, window, edit, degrees)
    return lifted(reference, lift_c, lift_slope)


def _charge(reference: Reference, edit: Edit, degrees: Degrees) -> Reshaped:
    """Another temperature at charge, by a deeper or shallower plunge to the same turning point."""
    if reference.lowest_s < GRID_S:
        raise UsageError(
            f"the charge of {reference.title} cannot be changed, as its curve begins at the "
            "turning point; make the reference again from a roast with its charge"
        )
    window = Bend(0.0, reference.lowest_s, plateau_from_the_beginning)
    lift_c, lift_slope = _more_rate(reference, window, edit, degrees)
    return lifted(reference, lift_c - lift_c[-1], lift_slope)


def _more_rate(
    reference: Reference, window: Bend, edit: Edit, degrees: Degrees
) -> tuple[Curve, Curve]:
    """What to add, °C and °C/s, so that the curve gains as much more in the window as is asked."""
    at_s, _, slope = nodes(reference)
    strength, _ = window.at(at_s)
    gained_c = _integral(at_s, slope * strength)
    whole_c, hotter_c = float(gained_c[-1]), edit.amount or 0.0
    gain_c = hotter_c if edit.kind is EditKind.DROP else -hotter_c
    if not LEAST_FACTOR <= 1.0 + gain_c / whole_c <= MOST_FACTOR:
        less = gain_c / whole_c < 0.0
        most_c = abs(whole_c) * (1.0 - LEAST_FACTOR if less else MOST_FACTOR - 1.0)
        raise UsageError(
            f"the {edit.where} of {reference.title} cannot be {_shown(abs(hotter_c), degrees)} "
            f"{'lower' if hotter_c < 0.0 else 'higher'}, as its rate {_MEANWHILE[edit.kind]} would "
            f"more than {'halve' if less else 'double'}; {_shown(most_c, degrees, floor)} is the "
            "most"
        )
    return gain_c / whole_c * gained_c, gain_c / whole_c * slope * strength


_MEANWHILE = {EditKind.DROP: "in development", EditKind.CHARGE: "before the turning point"}
_DO = {
    EditKind.LENGTH: _length,
    EditKind.START: _start,
    EditKind.RATE: _rate_at,
    EditKind.DROP: _drop,
    EditKind.CHARGE: _charge,
}


def _rate(reference: Reference, elapsed_s: float) -> float:
    return reference.at(elapsed_s)[1] * SECONDS_PER_MINUTE


def _near(stage_s: float) -> float:
    """How much of a stage takes part in another rate at its end: half, but a minute if there is."""
    return max(stage_s / 2.0, min(_RATE_SPAN_S, stage_s))


def _integral(at_s: Curve, slope: Curve) -> Curve:
    pieces = np.diff(at_s) * (slope[1:] + slope[:-1]) / 2.0
    return np.concatenate(([0.0], np.cumsum(pieces)))


def _shown(difference_c: float, degrees: Degrees, rounding: Callable[[float], int] = round) -> str:
    size = degrees.difference(difference_c) or 0.0
    return f"{rounding(10.0 * size) / 10.0:.1f} {degrees.unit}"
