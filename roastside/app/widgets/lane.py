"""The corridor on the Roast screen."""

from __future__ import annotations

from typing import Any

from roastside.app.draw.cells import Cells
from roastside.app.draw.lane import LaneData, LaneScale, draw_lane
from roastside.app.widgets.painted import Painted

__all__ = ["CorridorLane", "LaneData"]


class CorridorLane(Painted):
    """The live roast against its reference, in degrees."""

    def __init__(self, data: LaneData | None = None, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._data = data or LaneData()
        self._scale = LaneScale()

    @property
    def data(self) -> LaneData:
        """What is shown. Setting it draws at once and repaints the rows that changed."""
        return self._data

    @data.setter
    def data(self, data: LaneData) -> None:
        self._data = data
        self.repaint()

    def forget_scale(self) -> None:
        """Fit the degrees anew, as for another roast."""
        self._scale = LaneScale()
        self.repaint()

    def draw(self, width: int, height: int) -> Cells:
        return draw_lane(self._data, self._scale, width, height, self.few_colours)
