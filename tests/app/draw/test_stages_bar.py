from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from roastside.app.draw.cells import text_width
from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.stages import (
    StageBarData,
    browning,
    development,
    draw_stage_bar,
    drying,
)

FINISHED = [drying(300), browning(200), development(100)]


def cells_of(ground: np.ndarray) -> dict[Ground, int]:
    return {g: int((ground == g).sum()) for g in Ground if (ground == g).any()}


def test_segments_are_in_proportion_to_time() -> None:
    cells = draw_stage_bar(StageBarData(FINISHED, FINISHED), 60, 2)
    assert cells_of(cells.ground[0]) == {
        Ground.DRYING: 30,
        Ground.BROWNING: 20,
        Ground.DEVELOPMENT: 10,
    }


def test_each_segment_says_name_time_and_share() -> None:
    bar = draw_stage_bar(StageBarData(FINISHED, FINISHED), 160, 2).text()[0]
    for words in ("drying 5:00 · 50 %", "browning 3:20 · 33 %", "development 1:40 · 17 %"):
        assert words in bar


def test_the_current_stage_grows_to_an_eighth_of_a_cell() -> None:
    looks = []
    for seconds in np.arange(100.0, 110.0, 0.5):
        cells = draw_stage_bar(StageBarData([drying(seconds)], FINISHED), 60, 1)
        looks.append((cells_of(cells.ground[0])[Ground.DRYING], cells.text()[0][10:12]))
    filled = [cells for cells, _ in looks]
    assert filled == sorted(filled)
    assert len(set(looks)) > len(set(filled)) * 4


def test_the_reference_is_a_thin_line_below_on_the_same_scale() -> None:
    cells = draw_stage_bar(StageBarData([drying(100)], FINISHED), 60, 2)
    below = cells.text()[1]
    assert below.startswith("▁" * 20)
    assert "5:00" in below[20:30]
    assert cells.ink[1, 35] == Ink.BROWNING


def test_without_a_reference_the_end_seldom_moves() -> None:
    ends = {StageBarData([drying(float(s))]).total_s() for s in range(1, 120)}
    assert ends == {120.0}
    assert StageBarData([drying(121)]).total_s() == 240.0


def test_a_roast_longer_than_its_reference_still_fits() -> None:
    data = StageBarData([drying(400), browning(400)], FINISHED)
    assert data.total_s() >= 800


def test_a_young_stage_is_named_after_the_bar() -> None:
    data = StageBarData([drying(100), browning(4)], FINISHED)
    bar = draw_stage_bar(data, 100, 1).text()[0]
    assert bar.index("browning 0:04") > 17


def test_in_few_colours_each_stage_has_its_own_shade() -> None:
    cells = draw_stage_bar(StageBarData(FINISHED, FINISHED), 160, 1, shaded=True)
    bar = cells.text()[0]
    assert not cells.ground.any()
    assert bar.index("░") < bar.index("▒") < bar.index("▓")
    assert "development 1:40" in bar


@pytest.mark.parametrize(
    "data",
    [
        StageBarData(),
        StageBarData([drying(0)]),
        StageBarData([drying(0), browning(0)], [drying(0)]),
        StageBarData(FINISHED, expected_s=900),
    ],
)
def test_any_size_is_drawn(data: StageBarData) -> None:
    for width, height, shaded in product((0, 1, 2, 5, 80), (0, 1, 2, 3), (False, True)):
        rows = draw_stage_bar(data, width, height, shaded).text()
        assert [text_width(row) for row in rows] == [width] * height
