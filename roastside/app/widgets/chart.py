"""The whole roast on one chart."""

from __future__ import annotations

from typing import Any

from roastside.app.draw.area import VerticalMark
from roastside.app.draw.cells import Cells
from roastside.app.draw.chart import Band, ChartData, ChartScales, Level, Series, draw_chart
from roastside.app.draw.inks import Ink
from roastside.app.draw.raster import Pattern
from roastside.app.widgets.painted import Painted

__all__ = ["Band", "ChartData", "CurveChart", "Ink", "Level", "Pattern", "Series", "VerticalMark"]


class CurveChart(Painted):
    """Temperatures on the left axis, rates on the right, time below."""

    def __init__(self, data: ChartData | None = None, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._data = data or ChartData()
        self._scales = ChartScales()

    @property
    def data(self) -> ChartData:
        """What is shown. Setting it draws at once and repaints the rows that changed."""
        return self._data

    @data.setter
    def data(self, data: ChartData) -> None:
        self._data = data
        self.repaint()

    def forget_scales(self) -> None:
        """Fit the axes anew, as for another roast."""
        self._scales = ChartScales()
        self.repaint()

    def draw(self, width: int, height: int) -> Cells:
        return draw_chart(self._data, self._scales, width, height, self.few_colours)
