from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from roastside.app.draw.area import VerticalMark
from roastside.app.draw.cells import Cells, text_width
from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.lane import LaneData, LaneScale, draw_lane

X = np.arange(0.0, 300.0, 0.5)


def lane(data: LaneData, width: int = 100, height: int = 11, shaded: bool = False) -> Cells:
    return draw_lane(data, LaneScale(), width, height, shaded)


def steady(deviation_c: float, **more: object) -> LaneData:
    return LaneData(X, np.full(X.size, deviation_c), now_s=300.0, x_range=(0, 400), **more)  # type: ignore[arg-type]


def corridor_rows(cells: Cells) -> list[int]:
    return [int(row) for row in np.flatnonzero((cells.ground == Ground.CORRIDOR).any(axis=1))]


@pytest.mark.parametrize("height", range(3, 16))
def test_the_corridor_lies_in_the_middle_with_edges_between_rows(height: int) -> None:
    cells = lane(steady(0.0), height=height)
    rows = corridor_rows(cells)
    lane_rows = height - (height >= 5)
    assert rows == list(range(rows[0], rows[-1] + 1))
    assert rows[0] == lane_rows - 1 - rows[-1]
    assert not set("▁▂▃▄▅▆▇") & set("".join(cells.text()))


def test_inside_the_tolerance_the_line_is_in_the_corridor_and_outside_it_is_not() -> None:
    for deviation, ink, inside in ((1.8, Ink.BEAN, True), (2.4, Ink.BAD, False)):
        cells = lane(steady(deviation))
        rows = {int(row) for row in np.flatnonzero((cells.ink[:, 20:70] == ink).any(axis=1))}
        assert rows
        assert (rows <= set(corridor_rows(cells))) is inside


def test_a_corridor_that_widens_is_drawn_so_and_decides_which_part_is_outside() -> None:
    widening = {"corridor_x": np.array([0.0, 400.0]), "corridor_c": np.array([1.0, 5.0])}
    cells = lane(steady(2.4, tolerance_c=4.0, **widening), height=20)
    filled = (cells.ground == Ground.CORRIDOR).sum(axis=0)
    assert 0 < filled[10] < filled[90]
    assert (cells.ink[:, 20:30] == Ink.BAD).any() and not (cells.ink[:, 20:30] == Ink.BEAN).any()
    assert (cells.ink[:, 55:70] == Ink.BEAN).any() and not (cells.ink[:, 55:70] == Ink.BAD).any()


def test_hotter_is_up() -> None:
    hot, cold = lane(steady(1.5)), lane(steady(-1.5))
    rows = [np.flatnonzero((c.ink[:, 30:60] == Ink.BEAN).any(axis=1)) for c in (hot, cold)]
    assert rows[0].max() < rows[1].min()


def test_the_edges_of_the_corridor_are_labelled_with_the_tolerance() -> None:
    labels = [row[:5].strip() for row in lane(steady(0.0, tolerance_c=1.5)).text()]
    assert labels.index("+1.5") < labels.index("0") < labels.index("−1.5")


def test_up_and_down_are_named_at_the_edges() -> None:
    rows = lane(steady(0.0)).text()
    assert rows[0].endswith("▲ hotter, ahead")
    assert rows[-2].endswith("▼ cooler, behind")


@pytest.mark.parametrize(("deviation", "sign", "row"), [(40.0, "▲", 0), (-40.0, "▼", -2)])
def test_a_line_out_of_sight_leaves_signs_at_the_edge(
    deviation: float, sign: str, row: int
) -> None:
    cells = lane(steady(deviation))
    assert cells.text()[row][:75].count(sign) > 10
    assert len(corridor_rows(cells)) >= 1


def test_the_forecast_is_dotted_ahead_of_now() -> None:
    ahead = np.arange(300.0, 400.0)
    data = LaneData(
        X, np.full(X.size, 1.0), ahead, np.full(ahead.size, 1.0), now_s=300.0, x_range=(0, 400)
    )
    cells = lane(data)
    dots = (cells.ink == Ink.BEAN).sum(axis=0)
    assert (dots[10:74] > 0).all()
    assert 0.3 < (dots[78:] > 0).mean() < 0.7


def test_now_is_marked_by_an_upright_line_and_a_round_tip() -> None:
    cells = lane(steady(0.5))
    [tip] = [row.index("●") for row in cells.text() if "●" in row]
    uprights = (cells.ink[:-1] == Ink.QUIET)[:, tip - 1 : tip + 2].sum(axis=0)
    assert uprights.max() >= 7


def test_marks_are_labelled_above_the_lane() -> None:
    data = steady(0.0, marks=[VerticalMark(100, "yellowing"), VerticalMark(350, "first crack")])
    assert "yellowing" in lane(data).text()[0]
    assert "first crack" in lane(data).text()[0]


def test_without_a_reference_there_is_one_calm_line() -> None:
    note = "No reference: choose one on the Log screen."
    cells = lane(LaneData(note=note))
    assert [row.strip() for row in cells.text() if row.strip()] == [note]
    assert cells.text()[5].strip() == note
    assert lane(LaneData(note=note), width=12).text()[5] == "No referenc…"


def test_in_few_colours_the_corridor_has_edges_of_dots() -> None:
    cells = lane(steady(0.0), shaded=True)
    assert not cells.ground.any()
    full_rows = ((cells.ink == Ink.SHADE).sum(axis=1) > 80).sum()
    assert full_rows >= 2


def test_the_scale_stays_while_the_roast_wanders() -> None:
    scale = LaneScale()
    wandering = (0.5, 1.5, 3.0, 2.0, 0.2)
    drawn = [draw_lane(steady(deviation), scale, 100, 11) for deviation in wandering]
    assert len({tuple(corridor_rows(cells)) for cells in drawn}) == 1


@pytest.mark.parametrize("count", [0, 1, 2, 50])
@pytest.mark.parametrize("value", [0.0, np.nan, 1e9, -np.inf])
def test_little_or_wild_data_at_any_size(count: int, value: float) -> None:
    x = np.arange(float(count))
    y = np.full(count, value)
    data = LaneData(x, y, x, y, tolerance_c=0.0, now_s=1.0, marks=[VerticalMark(0, "charge")])
    for width, height in product((0, 1, 5, 25, 80), (0, 1, 2, 4, 5, 9)):
        cells = lane(data, width, height)
        assert [text_width(row) for row in cells.text()] == [width] * height


def caps(cells: Cells) -> list[str]:
    return [c for row in cells.text() for c in row if c in "┬┴"]


@pytest.mark.parametrize(("reach_c", "shown"), [(0.1, []), (1.0, ["┬", "┴"]), (9.0, [])])
def test_caps_show_how_uncertain_the_deviation_is_where_that_can_be_seen(
    reach_c: float, shown: list[str]
) -> None:
    assert caps(lane(steady(0.3, reach_c=reach_c))) == shown
    assert caps(lane(LaneData(reach_c=reach_c, x_range=(0, 400)))) == []


def test_a_cap_beyond_the_edge_is_left_out() -> None:
    assert caps(lane(steady(2.9, reach_c=3.5))) == ["┴"]
