"""A recording followed once, and its board as it stood at any moment."""

from __future__ import annotations

import threading
from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from roastside.core.events import Event
from roastside.core.readings import Item, Tick
from roastside.core.session import Session
from roastside.live.afterwards import Afterwards
from roastside.live.aside import Aside
from roastside.live.board import Board, Curve, View
from roastside.live.lag_finder import LagFinder
from roastside.live.pipeline import Consumer
from roastside.live.shape_news import ShapeNews

LOOKED_EVERY_S = 0.1
"""So often a live roast looks at its clock while nothing comes; silence is then noticed."""

_LOOKED_FOR_S = 1000.0
"""After so long a silence the fold finds nothing new in it."""

_NO_CURVE: Curve = np.empty(0)
_CURVES = ("time_s", "bean_c", "level_c", "air_c", "rate_c_per_min", "deviation_c", "ahead_s")
_OFTEN_THE_SAME = ("marks", "forecasts", "standing", "said", "log", "quality", "lag")


@dataclass(frozen=True, slots=True)
class _Turn:
    """The board after one turn: its view without the curves, and how far those had come."""

    view: View
    samples: int
    extras: tuple[str, ...]


class Rewinder:
    """Follows the items of a recording at full speed, and remembers every board on the way.

    The fold is the one of the live roast, looked at as often, so `at` gives what the screen of the
    live roast held; only what is not recorded is unknown: alerts acknowledged, sounds hushed. A
    back-dated mark is known from its place in the recording on. `follow` runs in one thread, all
    else may be called from any.
    """

    def __init__(self, items: Iterable[Item], session: Session) -> None:
        """`items` as `in_time` gives them: in the order in which they became known."""
        self._items = list(items)
        self._session = session
        self._board = Board(session.reference)
        self._newest = self._board.view()
        self._turns: list[_Turn] = []
        self._known_s: list[float] = []
        self._stopping = threading.Event()
        self.begin_s = self._items[0].time_s if self._items else 0.0
        self.end_s = max((item.time_s for item in self._items), default=0.0)

    @property
    def newest(self) -> View:
        """The board as far as the recording has been followed."""
        return self._newest

    @property
    def until_s(self) -> float:
        """How far the recording has been followed, stream seconds."""
        return self._known_s[-1] if self._known_s else self.begin_s

    @property
    def whole(self) -> bool:
        """Whether the recording has been followed to its end."""
        return self._newest.summary is not None

    def at(self, time_s: float) -> View:
        """The board as it was at a stream time; at the end, with the summary.

        A moment that has not been reached yet shows the newest there is.
        """
        known = bisect_right(self._known_s, time_s)
        if known == 0:
            return Board(self._board.reference).view()
        turn = self._turns[known - 1]
        newest = self._newest
        return replace(
            turn.view,
            **{name: getattr(newest, name)[: turn.samples] for name in _CURVES},
            extras={name: newest.extras[name][: turn.samples] for name in turn.extras},
        )

    def follow(self) -> None:
        """Follow the recording to its end, or until `stop`."""
        consumers = self._consumers()
        for known_s, item in looked_at(self._items):
            if self._stopping.is_set():
                return
            events = self._session.feed(item)
            if isinstance(item, Tick) and events:
                known_s = events[0].time_s  # a live roast may have looked at the clock just then
            self._turn(known_s, events, consumers)
        self._turn(self.end_s, [self._session.finish()], consumers)

    def stop(self) -> None:
        """Ask `follow` to return."""
        self._stopping.set()

    def _consumers(self) -> list[Consumer]:
        """Those who listen to a live roast and write on its board, in the same order."""
        board, plan = self._board, self._session.plan
        at_once = _AtOnce(board)
        consumers: list[Consumer] = [board, self._restate, LagFinder(board, at_once)]
        consumers.append(Afterwards(board, plan.degrees, at_once))
        if board.reference is None:
            consumers.append(ShapeNews(board, plan))
        return consumers

    def _restate(self, _events: Sequence[Event]) -> None:
        self._board.restate(self._session.standing(), self._session.quality)

    def _turn(self, known_s: float, events: Sequence[Event], consumers: Iterable[Consumer]) -> None:
        for consumer in consumers if events else (self._restate,):
            consumer(events)
        view = self._board.view()
        before = self._turns[-1].view if self._turns else view
        if not events and view.said == before.said:
            return
        kept = _sparing(view, before)
        # In this order: another thread finds a turn by its time, and its curves in the newest view.
        self._newest = view
        self._turns.append(_Turn(kept, len(view.time_s), tuple(view.extras)))
        self._known_s.append(known_s)


class _AtOnce(Aside):
    """Does the work where it is asked for: nobody waits for the next reading here."""

    def ask(self, what: str, time_s: float, work: Callable[[], None]) -> None:
        self._do(what, time_s, work)


def looked_at(items: Iterable[Item]) -> Iterator[tuple[float, Item]]:
    """The items with the stream time at which each was known, and the looks at the clock between.

    An item with an earlier time than one before it (a back-dated mark) became known with that one.
    """
    now_s: float | None = None
    for item in items:
        known_s = item.time_s if now_s is None else max(now_s, item.time_s)
        if now_s is not None:
            silent_s = min(known_s - now_s, _LOOKED_FOR_S)
            for look in range(1, int(silent_s / LOOKED_EVERY_S) + 1):
                looked_s = round(now_s + look * LOOKED_EVERY_S, 3)
                if looked_s < known_s:
                    yield looked_s, Tick(looked_s)
        now_s = known_s
        yield known_s, item


def _sparing(view: View, before: View) -> View:
    """The view without its curves; what is as it was before takes no memory of its own."""
    less: dict[str, Any] = {"extras": {}, **dict.fromkeys(_CURVES, _NO_CURVE)}
    for name in _OFTEN_THE_SAME:
        value = getattr(before, name)
        if value == getattr(view, name):
            less[name] = value
    return replace(view, **less)
