"""The glance line on the Roast screen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from roastside.app.draw.cells import Cells
from roastside.app.draw.figures import Figure, draw_figures
from roastside.app.widgets.painted import Painted

__all__ = ["Figure", "Figures"]


class Figures(Painted):
    """Large figures, evenly spaced. Six rows are needed for the largest, four for the smaller."""

    def __init__(self, figures: Sequence[Figure] = (), **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._figures = tuple(figures)

    @property
    def figures(self) -> tuple[Figure, ...]:
        """What is shown. Setting it repaints the rows that changed."""
        return self._figures

    @figures.setter
    def figures(self, figures: Sequence[Figure]) -> None:
        if tuple(figures) != self._figures:
            self._figures = tuple(figures)
            self.repaint()

    def draw(self, width: int, height: int) -> Cells:
        return draw_figures(self._figures, width, height)
