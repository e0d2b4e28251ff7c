"""Fixtures fed to the listeners of a live roast, in the order in which a roast feeds them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import inf
from threading import Event as Flag

from roastside.core.events import Event
from roastside.core.readings import Item
from roastside.core.session import Session
from roastside.live.aside import Aside
from roastside.live.board import Board
from roastside.record.reader import read_roast_file
from tests.live.running import FIXTURES
from tests.live.sources import PATIENCE_S

Listener = Callable[[Sequence[Event]], None]


def items_of(fixture: str) -> list[Item]:
    """Readings and marks of a fixture, by its name without the ending."""
    return list(read_roast_file(FIXTURES / f"{fixture}.csv").items())


class Fed:
    """A session and its board, with one listener behind them, fed by hand."""

    def __init__(self, session: Session, make: Callable[[Board, Aside], Listener]) -> None:
        self.session = session
        self.board = Board(session.reference)
        self.aside = Aside(self.board)
        self._listener = make(self.board, self.aside)

    def feed(self, items: Sequence[Item], from_s: float = -inf, to_s: float = inf) -> None:
        """Feed those items whose time is from `from_s` on and before `to_s`."""
        for item in items:
            if from_s <= item.time_s < to_s:
                self.send(self.session.feed(item))

    def finish(self) -> None:
        """The roast ends."""
        self.send([self.session.finish()])

    def send(self, events: Sequence[Event]) -> None:
        """Hand events on, as the pipeline does."""
        if events:
            self.board(events)
            self._listener(events)

    def settled(self) -> None:
        """Wait until all that was asked for is done aside."""
        done = Flag()
        self.aside.ask("waiting", 0.0, done.set)
        assert done.wait(PATIENCE_S), "what is done aside never ended"
