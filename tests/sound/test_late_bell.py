"""The bell that rings for a sound that does not come."""

from __future__ import annotations

from collections.abc import Iterator
from threading import Event

import pytest

from roastside.core.events import Priority
from roastside.sound.grammar import BURST_S
from roastside.sound.late_bell import LateBell
from roastside.sound.motifs import Kind, Motif

PATIENCE_S = 30.0
LOW, OTHER_LOW = Motif(Kind.PROBE, Priority.LOW), Motif(Kind.AHEAD, Priority.LOW)
CRITICAL = Motif(Kind.SAFETY, Priority.CRITICAL)
AT_ONCE_S = -max(BURST_S.values())
NEVER_S = 600.0


class Bells:
    """A late bell, and for what it rang."""

    def __init__(self) -> None:
        self.rung: list[str] = []
        self.rang = Event()
        self.made: list[LateBell] = []

    def late(self, late_s: float) -> LateBell:
        self.made.append(LateBell(self._ring, late_s))
        return self.made[-1]

    def _ring(self, motif: Motif) -> None:
        self.rung.append(motif.name)
        self.rang.set()


@pytest.fixture
def bells() -> Iterator[Bells]:
    made = Bells()
    yield made
    for late in made.made:
        late.over()


def test_it_rings_once_for_a_sound_that_is_late(bells: Bells) -> None:
    late = bells.late(AT_ONCE_S)
    late.expect(LOW)
    assert bells.rang.wait(PATIENCE_S)
    late.expect(OTHER_LOW)
    assert late.over()
    assert bells.rung == ["probe-low"]
    assert not late.over()


def test_it_does_not_ring_for_a_sound_that_is_over(bells: Bells) -> None:
    late = bells.late(NEVER_S)
    late.expect(LOW)
    assert not late.over()
    assert bells.rung == []


def test_for_the_next_sound_it_rings_anew(bells: Bells) -> None:
    late = bells.late(AT_ONCE_S)
    for motif in (LOW, CRITICAL):
        bells.rang.clear()
        late.expect(motif)
        assert bells.rang.wait(PATIENCE_S)
        assert late.over()
    assert bells.rung == ["probe-low", "safety-critical"]


def test_it_rings_for_the_newest_of_a_priority_by_the_time_of_the_first(bells: Bells) -> None:
    late = bells.late(0.0)
    for _ in range(1000):  # a flood does not put it off
        late.expect(LOW)
        late.expect(OTHER_LOW)
    assert bells.rang.wait(PATIENCE_S)
    assert bells.rung == ["ahead-low"]
