"""What there is to say of a roast once the beans are out."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from functools import partial

from roastside.core.errors import UsageError
from roastside.core.events import Alert, AlertState, Event, Marked, Summary
from roastside.core.findings import finding_words
from roastside.core.finished import FinishedRoast
from roastside.core.readings import ONCE_ONLY, UNDO, MarkName, Reading
from roastside.core.reference import Reference
from roastside.core.shape import shape_findings
from roastside.core.side_by_side import RoastFigures, comparison_words
from roastside.core.units import Degrees
from roastside.live.aside import Aside
from roastside.live.board import Board, View

TOPIC = "afterwards"

_DOUBTS = frozenset({"wrong_unit", "probes_swapped"})
"""Alerts after which nothing that is said of the bean temperature is to be trusted."""


class Afterwards:
    """Says it at the drop, or at the end without one, and anew where marks are corrected.

    Listens behind the board, in the roast's thread; the work itself is done aside.
    """

    def __init__(self, board: Board, degrees: Degrees, aside: Aside) -> None:
        self._board = board
        self._degrees = degrees
        self._aside = aside
        self._doubted = False
        self._said_of: dict[str, float] | None = None

    def __call__(self, events: Sequence[Event]) -> None:
        changed = False
        for event in events:
            match event:
                case Alert(state=AlertState.RAISED):
                    self._doubted = self._doubted or event.alert in _DOUBTS
                case Marked():
                    changed = changed or event.mark.removeprefix(UNDO) in ONCE_ONLY
                case Summary():
                    changed = True
        if changed:
            self._look(events[-1].time_s)

    def _look(self, time_s: float) -> None:
        view = self._board.view()
        ended = MarkName.DROP in view.marks or view.summary is not None
        of = view.marks if ended and not self._doubted else None
        if of != self._said_of:
            self._said_of = of
            say = partial(self._say, None if of is None else view, time_s)
            self._aside.ask("What this roast was like", time_s, say)

    def _say(self, view: View | None, time_s: float) -> None:
        words: list[str] = []
        if view is not None:
            points = zip(view.time_s.tolist(), view.bean_c.tolist(), strict=True)
            readings = (Reading(at_s, bean_c) for at_s, bean_c in points)
            words = afterwards(readings, view.marks, self._board.reference, self._degrees)
        self._board.tell(TOPIC, time_s, words)


def afterwards(
    readings: Iterable[Reading],
    marks: Mapping[str, float],
    reference: Reference | None,
    degrees: Degrees,
) -> list[str]:
    """What the rate did in a roast, then how it differs from its reference, a sentence each.

    `marks` on the clock of the readings. Nothing of a roast that has no charge or is too short.
    """
    try:
        roast = FinishedRoast.from_readings("this roast", readings, marks)
    except UsageError:
        return []
    words = [finding_words(finding, degrees) for finding in shape_findings(roast)]
    if reference is None:
        return words
    differences = comparison_words(_figures(reference), RoastFigures.of(roast), degrees)
    return [*words, f"Against {reference.title}:", *differences]


def _figures(reference: Reference) -> RoastFigures:
    elapsed_s, bean_c, _ = reference.arrays
    marks = {MarkName.TURNING_POINT: reference.turning_point_s, **reference.marks}
    return RoastFigures.from_curve(reference.title, elapsed_s, bean_c, marks)
