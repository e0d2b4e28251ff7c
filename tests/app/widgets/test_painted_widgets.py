from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from rich.cells import cell_len
from textual.strip import Strip

from roastside.app.draw.cells import Cells
from roastside.app.draw.inks import Ink
from roastside.app.widgets.chart import (
    Band,
    ChartData,
    CurveChart,
    Pattern,
    Series,
    VerticalMark,
)
from roastside.app.widgets.figures import Figure, Figures
from roastside.app.widgets.lane import CorridorLane, LaneData
from roastside.app.widgets.painted import Painted
from roastside.app.widgets.stage_bar import StageBar, StageBarData, browning, drying
from tests.app.widgets.shown import Shown, styles_of, text_of

X = np.arange(0.0, 600.0, 0.5)


def chart_data(known: int = 800) -> ChartData:
    bean = 90 + 0.2 * X
    return ChartData(
        series=[
            Series("bean", X[:known], bean[:known], pattern=Pattern.HEAVY, priority=2, tip=True),
            Series("reference", X, bean + 3, ink=Ink.REFERENCE, pattern=Pattern.DASHED),
            Series("rate", X[:known], 14 - X[:known] / 60, axis="right", ink=Ink.RATE),
        ],
        bands=[Band(X, bean - 15, bean + 15)],
        marks=[VerticalMark(60, "turning point 1:00")],
        x_range=(0, 600),
        left_range=(80, 240),
        right_range=(0, 15),
    )


def lane_data(now_s: float = 300) -> LaneData:
    x = np.arange(0, now_s, 0.5)
    ahead = np.arange(now_s, now_s + 60)
    return LaneData(x, np.sin(x / 40), ahead, 0 * ahead, now_s=now_s, x_range=(0, 400))


def figures() -> list[Figure]:
    return [Figure("elapsed", "7:10"), Figure("▲ bean", "198.4", "°C", "bad")]


def stage_data() -> StageBarData:
    return StageBarData([drying(260), browning(100)], [drying(270), browning(240)])


MAKERS: list[Callable[[], Painted]] = [
    lambda: CurveChart(chart_data()),
    lambda: CorridorLane(lane_data()),
    lambda: Figures(figures()),
    lambda: StageBar(stage_data()),
    CurveChart,
    CorridorLane,
    Figures,
    StageBar,
]


@pytest.mark.parametrize("size", [(80, 24), (160, 45), (60, 8), (5, 2), (1, 1)])
async def test_every_widget_fills_its_place_at_any_size(size: tuple[int, int]) -> None:
    for make in MAKERS:
        widget = make()
        async with Shown(widget).run_test(size=size) as pilot:
            await pilot.pause()
            assert [cell_len(row) for row in text_of(widget)] == [size[0]] * size[1]


async def test_all_together_on_one_screen() -> None:
    widgets = [make() for make in MAKERS[:4]]
    async with Shown(*widgets).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        for widget in widgets:
            assert any(row.strip() for row in text_of(widget))


async def test_a_resize_draws_anew_at_the_new_size() -> None:
    chart = CurveChart(chart_data())
    async with Shown(chart).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        await pilot.resize_terminal(60, 12)
        await pilot.pause()
        rows = text_of(chart)
        assert [cell_len(row) for row in rows] == [60] * 12
        assert rows[-1].split()[0] == "0:00"
        await pilot.resize_terminal(160, 45)
        await pilot.pause()
        assert [cell_len(row) for row in text_of(chart)] == [160] * 45


class Watched(CurveChart):
    """A chart that remembers which rows it was asked to render, and how often it drew."""

    def __init__(self, data: ChartData) -> None:
        super().__init__(data)
        self.rendered: set[int] = set()
        self.drawn = 0

    def render_line(self, y: int) -> Strip:
        self.rendered.add(y)
        return super().render_line(y)

    def draw(self, width: int, height: int) -> Cells:
        self.drawn += 1
        return super().draw(width, height)


async def test_only_rows_that_changed_are_rendered_again() -> None:
    chart = Watched(chart_data(800))
    async with Shown(chart).run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        before = text_of(chart)
        chart.rendered.clear()
        chart.data = chart_data(804)
        await pilot.pause()
        after = text_of(chart)
        changed = {n for n, (a, b) in enumerate(zip(before, after, strict=True)) if a != b}
        assert 0 < len(changed) <= 6
        assert chart.rendered == changed


async def test_the_same_data_again_renders_nothing() -> None:
    chart = Watched(chart_data())
    async with Shown(chart).run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        chart.rendered.clear()
        chart.data = chart_data()
        await pilot.pause()
        assert chart.rendered == set()


async def test_data_is_drawn_once_however_often_rows_are_rendered() -> None:
    chart = Watched(chart_data(800))
    async with Shown(chart).run_test(size=(120, 36)) as pilot:
        await pilot.pause()
        chart.drawn = 0
        chart.data = chart_data(900)
        await pilot.pause()
        for _ in range(3):
            text_of(chart)
        assert chart.drawn == 1


async def test_data_set_before_the_widget_is_shown_is_shown() -> None:
    bar = StageBar()
    bar.data = stage_data()
    async with Shown(bar).run_test(size=(80, 2)) as pilot:
        await pilot.pause()
        assert "drying 4:20" in text_of(bar)[0]


async def test_new_figures_replace_the_old() -> None:
    widget = Figures([Figure("elapsed", "7:10")])
    async with Shown(widget).run_test(size=(80, 6)) as pilot:
        await pilot.pause()
        before = text_of(widget)
        widget.figures = [Figure("elapsed", "7:11")]
        await pilot.pause()
        assert text_of(widget) != before
        assert widget.figures == (Figure("elapsed", "7:11"),)


async def test_a_lane_without_reference_shows_the_note_and_then_the_lane() -> None:
    lane = CorridorLane(LaneData(note="No reference: nothing to compare with."))
    async with Shown(lane).run_test(size=(80, 9)) as pilot:
        await pilot.pause()
        assert [row.strip() for row in text_of(lane) if row.strip()] == [lane.data.note]
        lane.data = lane_data()
        await pilot.pause()
        assert "No reference" not in "".join(text_of(lane))
        assert "▲ hotter" in text_of(lane)[0]


async def test_another_roast_gets_fresh_axes() -> None:
    tall = ChartData([Series("bean", X, X)])
    low = ChartData([Series("bean", X, 100 + 0.75 * X)])
    chart = CurveChart(tall)
    async with Shown(chart).run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        chart.data = low
        kept = text_of(chart)
        chart.forget_scales()
        assert text_of(chart) != kept


async def test_a_theme_changes_the_colours_at_once() -> None:
    chart = CurveChart(chart_data())
    app = Shown(chart)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        dark = styles_of(chart)
        app.theme = "textual-light"
        await pilot.pause()
        light = styles_of(chart)
        assert {style.bgcolor for style in dark}.isdisjoint(style.bgcolor for style in light)
        assert {style.color for style in dark} != {style.color for style in light}


@pytest.mark.parametrize("make", MAKERS[:4])
async def test_with_sixteen_colours_only_the_terminals_own_are_used(
    make: Callable[[], Painted],
) -> None:
    widget = make()
    app = Shown(widget, ansi_color=True)
    async with app.run_test(size=(120, 12)) as pilot:
        app.theme = "ansi-dark"
        await pilot.pause()
        assert widget.few_colours
        colours = [c for s in styles_of(widget) for c in (s.color, s.bgcolor) if c is not None]
        assert all(colour.is_default or (colour.number or 0) < 16 for colour in colours)


@pytest.mark.parametrize("ansi", [None, True])
@pytest.mark.parametrize("make", MAKERS)
async def test_without_colour_the_same_can_be_read(
    make: Callable[[], Painted], ansi: bool | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    widget = make()
    app = Shown(widget, ansi_color=ansi)
    async with app.run_test(size=(120, 12)) as pilot:
        await pilot.pause()
        assert app.no_color
        assert widget.few_colours
        text_of(widget)
        for style in styles_of(widget):
            triplets = [c.triplet for c in (style.color, style.bgcolor) if c and c.triplet]
            assert all(len(set(triplet)) == 1 for triplet in triplets)


async def test_without_colour_lines_differ_by_pattern_and_stages_by_shade(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    chart, bar = CurveChart(chart_data()), StageBar(stage_data())
    async with Shown(chart, bar).run_test(size=(120, 24)) as pilot:
        await pilot.pause()
        samples = [part.split(" ")[0] for part in text_of(chart)[0].split("   ") if part.strip()]
        assert len(set(samples)) == len(samples)
        assert "░" in text_of(bar)[0]
        assert "▒" in text_of(bar)[0]
