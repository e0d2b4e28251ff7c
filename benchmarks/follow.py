"""A roast followed beside its reference, as `replay` does it: readings and marks in their order."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

from generator import Case

from roastside.core.detect import charge_detector
from roastside.core.readings import Item, Mark, MarkName
from roastside.core.reference import Reference


class Charge(StrEnum):
    """How the moment of charge is known: in the roast it may be found or marked by hand.

    FOUND: it is found in the roast, and was marked in the reference, so that the two lie askew by
    the error of what is found. ALIKE: found in both. MARKED: marked in both.
    """

    FOUND = "found"
    ALIKE = "alike"
    MARKED = "marked"


def reference_of(one: Case, charge: Charge) -> Reference:
    """The reference as a user has it: smoothed from a noisy recording."""
    readings, marks = one.reference_stream().readings(), one.reference.marks
    known = {name: marks[name] for name in ("charge", "first_crack", "drop")}
    if charge is Charge.ALIKE:
        detector = charge_detector()
        found = (detector.update(r.time_s, r.bean_c) for r in readings if r.bean_c is not None)
        known["charge"] = next(at_s for at_s in found if at_s is not None)
    return Reference.from_readings("reference", readings, known)


def hand_marks(one: Case, charge: Charge) -> list[Mark]:
    """The marks of the roast but for first crack."""
    if charge is not Charge.MARKED:
        return []
    return [Mark(one.roast.charge_s, MarkName.CHARGE)]


def in_order(items: Iterable[Item], marks: Iterable[Mark]) -> list[Item]:
    """Readings and marks as they come; a mark comes before a reading of the same moment."""
    return sorted([*marks, *items], key=lambda item: item.time_s)
