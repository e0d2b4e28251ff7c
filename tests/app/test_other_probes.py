"""Air and further probes on the Roast screen: small figures, and quiet lines on the chart."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from roastside.app.curves import whole
from roastside.app.glance import STALE_AFTER_S
from roastside.app.moment import Moment
from roastside.app.telling import other_probes, status
from roastside.app.widgets.chart import Ink
from roastside.core.plan import RoastPlan
from roastside.core.readings import Item, Mark, MarkName, Reading
from roastside.core.session import Session
from roastside.core.units import CELSIUS, FAHRENHEIT, Degrees
from roastside.live.board import Board
from roastside.live.roast import LiveRoast
from roastside.probes.practice import PracticeSource, Script

EXTRAS = {"exhaust_c": 180.4, "drum_wall_c": 249.6}


def moment_of(*items: Item, degrees: Degrees = CELSIUS, late_s: float = 0.0) -> Moment:
    session, board = Session(RoastPlan(degrees=degrees)), Board()
    for item in items:
        board(session.feed(item))
    return Moment(board.view(), items[-1].time_s + late_s, session.plan, None)


def beans(count: int = 60) -> list[Item]:
    return [
        Reading(float(n), 150.0 + n / 6, 231.0, EXTRAS if n >= 20 else {}) for n in range(count)
    ]


def test_the_figures_name_every_other_probe() -> None:
    assert other_probes(moment_of(*beans())) == "air 231  exhaust 180  drum wall 250 °C"
    # 231 °C is 447.8 °F, by the definition of the scale (water freezes at 32 °F, boils at 212 °F).
    assert other_probes(moment_of(*beans(2), degrees=FAHRENHEIT)) == "air 448 °F"
    assert other_probes(moment_of(Reading(0.0, 150.0))) == ""


def test_old_figures_are_not_shown() -> None:
    assert other_probes(moment_of(*beans(), late_s=STALE_AFTER_S + 0.1)) == ""


@pytest.mark.parametrize("width", [20, 40, 60, 80, 160])
def test_the_status_line_has_them_where_there_is_room(width: int, tmp_path: Path) -> None:
    roast = LiveRoast(PracticeSource(Script(), None), Session())
    line = status(roast, moment_of(*beans()), "", "", width).plain
    assert ("exhaust 180" in line) == (width >= 80)
    assert ("air 231" in line) == (width >= 80)
    assert line.endswith("not recorded")
    short = status(roast, moment_of(*beans(2)), "", "", width).plain
    assert ("air 231 °C" in short) == (width >= 40)
    if width >= 40:
        assert len(line) <= width


@pytest.mark.parametrize("charged", [False, True])
def test_the_chart_has_a_quiet_line_for_each_further_channel(charged: bool) -> None:
    items = beans()
    if charged:
        items.insert(10, Mark(9.0, MarkName.CHARGE))
    series = {each.name: each for each in whole(moment_of(*items), FAHRENHEIT).series}
    exhaust, wall = series["exhaust"], series["drum wall"]
    assert exhaust.ink is wall.ink is Ink.QUIET
    assert exhaust.pattern is not wall.pattern
    assert exhaust.priority < series["air"].priority or not charged
    assert len(exhaust.x) == len(exhaust.y) == (51 if charged else 60)
    assert np.isnan(exhaust.y[0])
    assert exhaust.y[-1] == pytest.approx(180.4 * 1.8 + 32.0)


def test_without_further_channels_the_chart_is_as_it_was() -> None:
    names = [each.name for each in whole(moment_of(*beans(5)), CELSIUS).series]
    assert names == ["bean", "air"]


def test_what_was_just_said_is_not_cut_for_them() -> None:
    roast = LiveRoast(PracticeSource(Script(), None), Session())
    said = "First crack stands at 9:22: press again to move it here."
    assert said in status(roast, moment_of(*beans(2)), "", said, 80).plain
    wide = status(roast, moment_of(*beans(2)), "", said, 120).plain
    assert said in wide and "air 231 °C" in wide
