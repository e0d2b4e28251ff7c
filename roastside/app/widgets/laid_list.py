"""Which roasts are laid over each other: how each is drawn, and which one is looked at."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from roastside.app.draw.area import draw_legend
from roastside.app.draw.cells import Cells, shortened_within, text_width
from roastside.app.draw.inks import Ink
from roastside.app.draw.raster import Pattern
from roastside.app.widgets.painted import Painted

_NAME_AT = 8
"""The cursor, a letter if there are any, the sample of the line, and the blanks between."""

_MONTH_AT = len("2026-")


class LaidList(Painted):
    """A line for each: a sample of its line and its title, those around the one looked at."""

    def __init__(self, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._titles: Sequence[tuple[str, str]] = ()
        self._looks: Sequence[tuple[Ink, Pattern]] = ()
        self._letters: Sequence[str] = ()
        self._at = 0

    def show(
        self,
        titles: Sequence[tuple[str, str]],
        looks: Sequence[tuple[Ink, Pattern]],
        letters: Sequence[str],
        at: int,
    ) -> None:
        """Show these days and names, `at` being the one looked at.

        `letters` stand at the curves' ends, and are empty where none do.
        """
        self._titles, self._looks, self._letters, self._at = titles, looks, letters, at
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
            letter = self._letters[place]
            cells.write(row, 1, letter, self._looks[place][0])
            name = _fitting(self._titles[place], width - _NAME_AT - len(letter))
            draw_legend(cells, row, 2 + len(letter), width, [(name, *self._looks[place])])
        return cells


def _fitting(title: tuple[str, str], width: int) -> str:
    """The day and the name; where there is little room, the day without its year."""
    day, name = title
    if day and text_width(day) + 1 + text_width(name) > width:
        day = day[_MONTH_AT:]
    return f"{day} {shortened_within(name, width - len(day) - 1)}".strip()
