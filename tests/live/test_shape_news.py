"""The shape of the rate, told while it is being made."""

from __future__ import annotations

from roastside.core.plan import RoastPlan
from roastside.core.readings import Mark, Reading
from roastside.core.session import Session
from roastside.live.roast import LiveRoast
from roastside.live.shape_news import ShapeNews
from tests.live.fixture_roasts import Fed, items_of
from tests.live.sources import HandFedSource


def news(fixture: str, plan: RoastPlan | None = None) -> list[str]:
    plan = plan or RoastPlan()
    made = Fed(Session(plan), lambda board, _aside: ShapeNews(board, plan))
    made.feed(items_of(fixture))
    log = made.board.view().log
    return [line.text for line in log if line.tone == "plain" and "over:" not in line.text]


def test_a_rate_that_rises_again_is_told_when_it_is_found() -> None:
    said = news("house-too-hot")
    assert len(said) == 1
    assert said[0].startswith("The rate rose again by ")


def test_what_an_alert_tells_is_not_told_twice() -> None:
    assert news("house-good-repeat-1") == []


def test_what_no_alert_tells_because_it_is_switched_off_is_told() -> None:
    quiet = RoastPlan(rules_off=frozenset({"sudden_fall"}))
    said = news("house-good-repeat-1", quiet)
    assert [line.split(":")[0] for line in said] == ["Sudden fall around first crack"]


def test_a_rate_before_a_gap_is_not_held_against_one_after_it() -> None:
    assert [line for line in news("house-probe-unplugged") if "rose again" in line] == []
    assert [line for line in news("house-probe-open") if "rose again" in line] == []


def test_only_a_roast_without_a_reference_tells_it() -> None:
    items = [i for i in items_of("house-too-hot") if isinstance(i, Reading | Mark)]
    source = HandFedSource()
    source.put(*items)
    source.end_when_empty()
    roast = LiveRoast(source, Session())
    roast.open()
    roast.start()
    roast._thread.join()
    assert [line for line in roast.board.view().log if "rose again" in line.text] != []
