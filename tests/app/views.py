"""Boards at chosen moments of a roast, for tests of what the screens say."""

from __future__ import annotations

from functools import cache

from roastside.app.moment import Moment
from roastside.core.plan import RoastPlan
from roastside.core.readings import Item, Mark, Reading
from roastside.core.session import Session
from roastside.live.board import Board
from roastside.live.demo import demo_reference
from roastside.probes.practice import PracticeBatch, Script


@cache
def practice_items() -> tuple[Item, ...]:
    """A whole practice roast against which the demo's reference is a repeat."""
    batch, items = PracticeBatch(Script(seed=5)), []
    while not batch.ended:
        items += batch.step()
    return tuple(items)


def moment(
    until_s: float,
    plan: RoastPlan | None = None,
    reference: bool = True,
    marks: bool = True,
    late_s: float = 0.0,
    over: bool = False,
) -> Moment:
    """The roast as it stands at stream second `until_s`, looked at `late_s` later."""
    plan = plan or RoastPlan()
    held_against = demo_reference() if reference else None
    session, board = Session(plan, held_against), Board(held_against)
    for item in practice_items():
        if item.time_s > until_s:
            break
        if isinstance(item, Reading) or marks or not isinstance(item, Mark):
            board(session.feed(item))
    board.restate(session.standing())
    if over:
        board([session.finish()])
    return Moment(board.view(), until_s + late_s, plan, held_against)
