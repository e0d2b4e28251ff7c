"""What the keys for marks do, and what the person is told when they do nothing."""

from __future__ import annotations

from collections.abc import Callable
from time import monotonic

from roastside.app.passing import SAID_FOR_S
from roastside.app.words import clock, named
from roastside.core.readings import MarkName
from roastside.live.roast import LiveRoast

_OF_THE_ROAST = frozenset(
    {
        MarkName.TURNING_POINT,
        MarkName.YELLOWING,
        MarkName.FIRST_CRACK,
        MarkName.FIRST_CRACK_END,
        MarkName.SECOND_CRACK,
    }
)
"""What can only be seen or heard while beans are in the roaster."""


class MarkKeys:
    """Marks a roast by hand; each key returns words for the person, empty when it was obeyed.

    now: any steady seconds.
    """

    def __init__(self, roast: LiveRoast, now: Callable[[], float] = monotonic) -> None:
        self._roast = roast
        self._now = now
        self._asked = ""
        self._asked_until_s = 0.0

    def mark(self, name: str) -> str:
        """Mark this instant; a mark that stands already is moved by a second press only."""
        marks = self._roast.board.view().marks
        if name != MarkName.CHARGE and MarkName.CHARGE not in marks:
            return "No charge yet: press c when the beans are in."
        if name in _OF_THE_ROAST and MarkName.DROP in marks:
            out = clock(marks[MarkName.DROP] - marks[MarkName.CHARGE])
            return f"The beans are out since {out}; if they are not, take that back first (u)."
        again = self._asked == name and self._now() < self._asked_until_s
        if name in marks and not again:
            self._asked, self._asked_until_s = name, self._now() + SAID_FOR_S
            at = clock(marks[name] - marks[MarkName.CHARGE])
            return f"{named(name)} stands at {at}: press again to move it here.".capitalize()
        self._asked = ""
        self._roast.mark(name)
        return ""

    def undo(self) -> str:
        """Take back the last mark, or the last move of one."""
        return "There is no mark to take back." if self._roast.undo() is None else ""

    def step_back(self) -> str:
        """Move the last mark five seconds back."""
        return "There is no mark to move." if self._roast.step_back() is None else ""
