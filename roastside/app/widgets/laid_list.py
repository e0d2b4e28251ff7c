"""Which roasts are laid over each other: how each is drawn, and which one is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from roastside.app.draw.area import draw_legend
from roastside.app.draw.cells import Cells, shortened
from roastside.app.draw.inks import Ink
from roastside.app.draw.raster import Pattern
from roastside.app.widgets.painted import Painted

_NAME_AT = 8
"""The cursor, the sample of the line, and the blanks between."""


class LaidList(Painted):
    """A line for each: a sample of its line and its title, those around the one looked at."""

    def __init__(self, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._titles: Sequence[str] = ()
        self._looks: Sequence[tuple[Ink, Pattern]] = ()
        self._at = 0

    def show(self, titles: Sequence[str], looks: Sequence[tuple[Ink, Pattern]], at: int) -> None:
        """Show these, `at` being the one looked at."""
        self._titles, self._looks, self._at = titles, looks, at
        self.repaint()

    @property
    def top(self) -> int:
        """Which one stands in the first line."""
        height = self.content_size.height
        return max(min(self._at - height // 2, len(self._titles) - height), 0)

    def draw(self, width: int, height: int) -> Cells:
        cells = Cells(width, height)
        for row in range(min(height, len(self._titles) - self.top)):
            place = self.top + row
            if place == self._at:
                cells.write(row, 0, "›", Ink.PLAIN)
            name = shortened(self._titles[place], width - _NAME_AT)
            draw_legend(cells, row, 2, width, [(name, *self._looks[place])])
        return cells
