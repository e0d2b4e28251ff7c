"""Charge that is found beside a reference, by how the probe fell there."""

from __future__ import annotations

from pathlib import Path

import pytest

from roastside.core.readings import MarkName, Reading
from roastside.core.reference import Reference
from roastside.core.session import Session
from roastside.record.reader import read_roast_file

HOUSE = "house-espresso-v3.csv"
FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"


def readings_of(file: str) -> list[Reading]:
    """The readings of a fixture, without its marks."""
    items = read_roast_file(FIXTURES / file).items()
    return [item for item in items if isinstance(item, Reading)]


def found_s(session: Session, file: str) -> float:
    """When charge was, as found in the readings of a fixture alone; its stream s."""
    for reading in readings_of(file):
        session.feed(reading)
    charge_s = session.marks.time_s(MarkName.CHARGE)
    assert charge_s is not None
    return charge_s


def reference(late_s: float) -> Reference:
    """The house's own, marked so many seconds later than it was charged."""
    marks = dict(read_roast_file(FIXTURES / HOUSE).marks())
    marks[MarkName.CHARGE] += late_s
    return Reference.from_readings("House espresso v3", readings_of(HOUSE), marks)


def test_a_roast_lies_on_a_reference_that_fell_like_it() -> None:
    marked_s = read_roast_file(FIXTURES / HOUSE).marks()[MarkName.CHARGE]
    assert found_s(Session(reference=reference(0.0)), HOUSE) == pytest.approx(marked_s, abs=0.1)


@pytest.mark.parametrize("late_s", [0.5, 2.0, 5.0])
def test_a_reference_marked_late_by_hand_does_not_shift_the_roast(late_s: float) -> None:
    alone_s = found_s(Session(), HOUSE)
    beside_s = found_s(Session(reference=reference(late_s)), HOUSE)
    assert beside_s == pytest.approx(alone_s, abs=0.1)
