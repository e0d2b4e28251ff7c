from __future__ import annotations

from itertools import pairwise, product

import numpy as np
import pytest

from roastside.app.draw.area import VerticalMark
from roastside.app.draw.cells import Cells, text_width
from roastside.app.draw.chart import Band, ChartData, ChartScales, Level, Series, draw_chart
from roastside.app.draw.inks import Ground, Ink
from roastside.app.draw.raster import Pattern

X = np.arange(0.0, 600.0, 0.5)
RISING = 90 + 0.2 * X


def chart(data: ChartData, width: int = 100, height: int = 24, shaded: bool = False) -> Cells:
    return draw_chart(data, ChartScales(), width, height, shaded)


def bean(**more: object) -> Series:
    return Series("bean", X, RISING, **more)  # type: ignore[arg-type]


def test_time_is_labelled_in_minutes_and_seconds() -> None:
    foot = chart(ChartData([bean()], x_range=(0, 600))).text()[-1]
    assert foot.split() == [f"{minute}:00" for minute in range(11)]


def test_left_labels_are_nice_numbers_on_the_rows_they_name() -> None:
    data = ChartData([bean()], x_range=(0, 600), left_range=(50, 250))
    rows = chart(data, height=26).text()[:-1]
    labels = {int(row[:4]): n for n, row in enumerate(rows) if row[:4].strip().isdigit()}
    assert set(labels) <= set(range(50, 251, 50))
    assert labels[250] == 1
    assert labels[50] == 24
    assert labels[150] in (12, 13)


def test_the_right_axis_has_its_own_scale_and_unit() -> None:
    rate = Series("rate", X, 15 - X / 60, axis="right", ink=Ink.RATE)
    data = ChartData([bean(), rate], x_range=(0, 600), right_range=(0, 20))
    cells = chart(data)
    assert cells.text()[0].rstrip().endswith("°C/min")
    assert cells.text()[1].rstrip().endswith("20")
    assert (cells.ink[1:-1, 6:90] == Ink.RATE).any()


def test_the_legend_names_each_line_with_a_sample_of_its_pattern() -> None:
    reference = Series("reference", X, RISING + 5, ink=Ink.REFERENCE, pattern=Pattern.DASHED)
    header = chart(ChartData([bean(priority=1), reference])).text()[0]
    assert header.index("bean") < header.index("reference")
    before = header[: header.index("reference")].rstrip()
    # dashed: four dots on, two off, in the second row: U+2812 is dots 2 and 5
    assert before.endswith("\u2812\u2812 \u2812\u2812")


def test_legend_entries_that_do_not_fit_are_left_out_whole() -> None:
    lines = [Series(f"line {n}", X, RISING, priority=-n) for n in range(6)]
    header = chart(ChartData(lines), width=40).text()[0]
    assert "line 0" in header
    assert "line 5" not in header
    assert text_width(header) == 40


def test_the_line_of_higher_priority_gives_the_colour() -> None:
    over, under = bean(ink=Ink.BEAN, priority=2), bean(ink=Ink.AIR, priority=1)
    for series in ([over, under], [under, over]):
        cells = chart(ChartData(series, x_range=(0, 600)))
        assert (cells.ink[1:-1] == Ink.BEAN).any()
        assert not (cells.ink[1:-1] == Ink.AIR).any()


def test_a_mark_has_an_upright_line_and_its_label_above() -> None:
    data = ChartData([bean()], marks=[VerticalMark(300, "yellowing 5:00")], x_range=(0, 600))
    cells = chart(data)
    row = next(n for n, text in enumerate(cells.text()) if "yellowing" in text)
    column = cells.text()[row].index("yellowing")
    assert row == 1
    below = cells.ink[row + 1 : -1, column]
    assert (below == Ink.MARK).sum() >= len(below) - 4


def test_labels_of_marks_never_overlap() -> None:
    marks = [VerticalMark(float(x), f"mark at {x}") for x in range(0, 600, 20)]
    row = chart(ChartData([bean()], marks=marks, x_range=(0, 600))).text()[1]
    assert row.count("mark at ") >= 5
    assert all(part.strip().startswith("mark at") for part in row.split("  ") if part.strip())


def test_a_mark_at_the_right_edge_is_labelled_to_its_left() -> None:
    data = ChartData([bean()], marks=[VerticalMark(600, "drop 10:00")], x_range=(0, 600))
    assert chart(data).text()[1].endswith("drop 10:00")


def test_a_band_is_ground_or_in_few_colours_dots() -> None:
    data = ChartData([bean()], [Band(X, RISING - 20, RISING + 20)], x_range=(0, 600))
    assert (chart(data).ground == Ground.CORRIDOR).sum() > 100
    shaded = chart(data, shaded=True)
    assert not shaded.ground.any()
    assert (shaded.ink == Ink.SHADE).sum() > 50


def test_a_level_line_runs_across() -> None:
    data = ChartData(levels=[Level(210.0, ink=Ink.WARN)], left_range=(50, 250), x_range=(0, 600))
    assert ((chart(data).ink == Ink.WARN).sum(axis=1) > 80).sum() == 1


def test_the_tip_marks_the_last_known_point() -> None:
    y = np.where(X > 300, np.nan, RISING)
    cells = chart(ChartData([Series("bean", X, y, tip=True)], x_range=(0, 600)))
    [tip] = [row.index("●") for row in cells.text() if "●" in row]
    assert abs(tip - 52) <= 1


def test_axes_seldom_move_while_a_roast_grows() -> None:
    scales = ChartScales()
    frames = []
    for known in range(200, 1200, 20):
        series = Series("bean", X[:known], RISING[:known])
        rows = draw_chart(ChartData([series], x_range=(0, 600)), scales, 80, 24).text()
        frames.append((rows[-1], *(row[:4] for row in rows)))
    changes = sum(a != b for a, b in pairwise(frames))
    assert changes <= 8


@pytest.mark.parametrize(
    "y",
    [[], [100.0], [100.0, 101.0], [np.nan] * 5, [93.0] * 5, [np.nan, 93.0, np.nan]],
    ids=["none", "one", "two", "all unknown", "constant", "lone"],
)
def test_little_data_at_any_size(y: list[float]) -> None:
    series = Series("bean", np.arange(float(len(y))), np.array(y), tip=True)
    rate = Series("rate", np.arange(float(len(y))), np.array(y), axis="right")
    band = Band(series.x, series.y - 1, series.y + 1)
    data = ChartData([series, rate], [band], [VerticalMark(0, "charge")], [Level(95)])
    for width, height in product((0, 1, 5, 25, 60), (0, 1, 2, 4, 5, 8, 20)):
        cells = chart(data, width, height)
        assert [text_width(row) for row in cells.text()] == [width] * height


def test_ranges_that_cannot_be_drawn_do_no_harm() -> None:
    data = ChartData([bean()], x_range=(5, 5), left_range=(1, 1), right_range=(np.nan, np.nan))
    assert len(chart(data).text()) == 24


def test_letters_stand_after_the_ends_of_their_lines_and_side_by_side_where_they_meet() -> None:
    def line(letter: str, end_s: float, end_c: float) -> Series:
        return Series("", np.array([0.0, end_s]), np.array([20.0, end_c]), letter=letter)

    lines = [line("a", 500.0, 200.0), line("b", 490.0, 200.0), line("c", 500.0, 60.0)]
    data = ChartData(series=lines, x_range=(0.0, 600.0), left_range=(0.0, 220.0))
    rows = draw_chart(data, ChartScales(), 60, 20).text()
    (both,) = [row for row in rows if "ba" in row]
    (other,) = [row for row in rows if "c" in row]
    assert rows.index(both) < rows.index(other)
    # The area is 55 cells wide, so 500 s of 600 s lie at its 46th cell.
    assert other.index("c") in (50, 51)


def test_letters_at_the_right_edge_are_kept_inside() -> None:
    lines = [
        Series("", np.array([0.0, 600.0]), np.array([20.0, 200.0]), letter=letter)
        for letter in "abc"
    ]
    data = ChartData(series=lines, x_range=(0.0, 600.0), left_range=(0.0, 220.0))
    text = "".join(draw_chart(data, ChartScales(), 40, 12).text())
    assert all(text.count(letter) == 1 for letter in "abc")
