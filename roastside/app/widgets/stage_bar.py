"""The stages on the Roast screen."""

from __future__ import annotations

from typing import Any

from roastside.app.draw.cells import Cells
from roastside.app.draw.stages import (
    StageBarData,
    StageSegment,
    browning,
    development,
    draw_stage_bar,
    drying,
)
from roastside.app.widgets.painted import Painted

__all__ = ["StageBar", "StageBarData", "StageSegment", "browning", "development", "drying"]


class StageBar(Painted):
    """Drying, browning and development in proportion; one row, or two with the reference's."""

    def __init__(self, data: StageBarData | None = None, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._data = data or StageBarData()

    @property
    def data(self) -> StageBarData:
        """What is shown. Setting it repaints the rows that changed."""
        return self._data

    @data.setter
    def data(self, data: StageBarData) -> None:
        self._data = data
        self.repaint()

    def draw(self, width: int, height: int) -> Cells:
        return draw_stage_bar(self._data, width, height, self.few_colours)
