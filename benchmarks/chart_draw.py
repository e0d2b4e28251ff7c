"""How long one drawing of the roast chart takes, beside a general plotting widget.

Both draw the same six lines of 2,400 points (twenty minutes at two readings a second) in a
headless Textual app of 120 by 36 cells. Timed, for both alike: from setting new data until every
strip of the widget is rendered. Each drawing shows different data, and the two take turns, so
that a busy machine slows both. Run: python benchmarks/chart_draw.py [ROUNDS]
"""

from __future__ import annotations

import asyncio
import statistics
import sys
import time
from collections.abc import Awaitable, Callable

import numpy as np
from textual.app import App, ComposeResult
from textual.geometry import Size
from textual_hires_canvas import Canvas
from textual_plot import HiResMode, PlotWidget

from roastside.app.widgets.chart import ChartData, CurveChart, Ink, Pattern, Series

POINTS = 2400
SIZE = (120, 36)
COLOURS = ("#E69F00", "#56B4E9", "#E69F00", "#009E73", "#CC79A7", "#CC79A7")
INKS = (Ink.BEAN, Ink.REFERENCE, Ink.BEAN, Ink.AIR, Ink.RATE, Ink.RATE)
PATTERNS = (
    Pattern.HEAVY,
    Pattern.DASHED,
    Pattern.DOTTED,
    Pattern.SPARSE,
    Pattern.SOLID,
    Pattern.DOTTED,
)
Lines = list[np.ndarray]


def six_lines(shift: float) -> tuple[np.ndarray, Lines]:
    """Curves of the shape and the noise of a roast, moved a little with `shift`. °C, seconds."""
    noise = np.random.default_rng(round(1000 * shift))
    x = np.arange(POINTS) / 2
    lines = []
    for n in range(6):
        plunge = 110 * np.exp(-((x / 30) ** 1.3))
        rise = 150 * (1 - np.exp(-x / (600 + 30 * n)))
        lines.append(80 + 6 * n + plunge + rise + 3 * np.sin(shift) + noise.normal(0, 0.2, POINTS))
    return x, lines


def set_ours(chart: CurveChart, x: np.ndarray, lines: Lines) -> None:
    chart.data = ChartData(
        series=[
            Series(f"line {n}", x, y, ink=INKS[n], pattern=PATTERNS[n], priority=n)
            for n, y in enumerate(lines)
        ]
    )


def render_ours(chart: CurveChart) -> int:
    return len(chart.render_lines(chart.size.region))


def set_theirs(plot: PlotWidget, x: np.ndarray, lines: Lines) -> None:
    plot.clear()
    for n, y in enumerate(lines):
        plot.plot(x, y, line_style=COLOURS[n], hires_mode=HiResMode.BRAILLE, label=f"line {n}")


def render_theirs(plot: PlotWidget) -> int:
    plot.render()
    canvases = list(plot.query(Canvas))
    rendered = {c.id: len(c.render_lines(c.size.region)) for c in canvases}
    return rendered["margin-top"] + rendered["plot"] + rendered["margin-bottom"]


class Bench(App[None]):
    CSS = "CurveChart, PlotWidget { width: 100%; height: 100%; } .away { display: none; }"

    def compose(self) -> ComposeResult:
        yield CurveChart()
        yield PlotWidget()


def timed(work: Callable[[], int]) -> float:
    """Milliseconds of one drawing; every row must have been rendered."""
    begin = time.perf_counter()
    rows = work()
    spent = time.perf_counter() - begin
    assert rows == SIZE[1], f"{rows} rows were rendered, not {SIZE[1]}"
    return 1000 * spent


async def show(app: Bench, shown: type, hidden: type, pause: Callable[[], Awaitable[None]]) -> None:
    app.query_one(hidden).add_class("away")
    app.query_one(shown).remove_class("away")
    await pause()


async def measure(rounds: int, per_round: int = 5) -> tuple[list[float], list[float]]:
    app = Bench()
    ours: list[float] = []
    theirs: list[float] = []
    async with app.run_test(size=SIZE) as pilot:
        chart, plot = app.query_one(CurveChart), app.query_one(PlotWidget)
        for round_ in range(rounds + 1):
            data = [six_lines(0.1 * (round_ * per_round + n)) for n in range(per_round)]
            spent: tuple[list[float], list[float]] = ([], [])
            await show(app, CurveChart, PlotWidget, pilot.pause)
            assert chart.size == Size(*SIZE)
            for x, lines in data:

                def draw_ours(x: np.ndarray = x, lines: Lines = lines) -> int:
                    set_ours(chart, x, lines)
                    return render_ours(chart)

                spent[0].append(timed(draw_ours))
            await show(app, PlotWidget, CurveChart, pilot.pause)
            assert plot.size == Size(*SIZE)
            for x, lines in data:

                def draw_theirs(x: np.ndarray = x, lines: Lines = lines) -> int:
                    set_theirs(plot, x, lines)
                    return render_theirs(plot)

                spent[1].append(timed(draw_theirs))
            if round_:  # the first round warms up
                ours += spent[0]
                theirs += spent[1]
    return ours, theirs


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    ours, theirs = asyncio.run(measure(rounds))
    print(f"six lines of {POINTS} points at {SIZE[0]} x {SIZE[1]}, {len(ours)} drawings each")
    for name, spent in (("roastside CurveChart", ours), ("textual-plot PlotWidget", theirs)):
        low, middle, high = statistics.quantiles(spent, n=4)
        print(f"  {name:<24} median {middle:7.2f} ms   middle half {low:.2f} to {high:.2f} ms")
    ratio = statistics.median(theirs) / statistics.median(ours)
    print(f"  ours takes 1/{ratio:.1f} of the time")


if __name__ == "__main__":
    main()
