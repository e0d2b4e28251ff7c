"""Learns the lag of the bean probe while the roast goes on."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np

from roastside.core.events import Event, Marked
from roastside.core.lag import probe_lag
from roastside.core.readings import MarkName
from roastside.live.aside import Aside
from roastside.live.board import Board

KNOWN_AFTER_S = 60.0
"""So long after the turning point all is read that tells the lag."""


class LagFinder:
    """Finds the lag a minute past the turning point, and anew when charge or that is moved.

    Listens behind the board, in the roast's thread; the work itself is done aside.
    """

    def __init__(self, board: Board, aside: Aside) -> None:
        self._board = board
        self._aside = aside
        self._plunge: tuple[float | None, float | None] = (None, None)
        self._due_s: float | None = None

    def __call__(self, events: Sequence[Event]) -> None:
        if any(isinstance(event, Marked) for event in events):
            self._look_at_marks()
        now_s = events[-1].time_s
        charge_s, turned_s = self._plunge
        if self._due_s is None or now_s < self._due_s or charge_s is None or turned_s is None:
            return
        self._due_s = None
        self._aside.ask("The probe's lag", now_s, partial(self._find, charge_s, turned_s))

    def _look_at_marks(self) -> None:
        marks = self._board.view().marks
        charge_s, turned_s = marks.get(MarkName.CHARGE), marks.get(MarkName.TURNING_POINT)
        if (charge_s, turned_s) == self._plunge:
            return
        self._plunge = (charge_s, turned_s)
        known = charge_s is not None and turned_s is not None and turned_s > charge_s
        self._due_s = turned_s + KNOWN_AFTER_S if known and turned_s is not None else None
        self._board.know_lag(None)

    def _find(self, charge_s: float, turned_s: float) -> None:
        view = self._board.view()
        read = np.isfinite(view.bean_c)
        lag = probe_lag(view.time_s[read], view.bean_c[read], charge_s, turned_s)
        if self._plunge == (charge_s, turned_s):
            self._board.know_lag(lag)
