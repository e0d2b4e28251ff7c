"""The canvas under every drawn widget: cells become strips, and only changed rows repaint."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.geometry import Region
from textual.strip import Strip
from textual.widget import Widget

from roastside.app.draw.cells import Cells, ink_and_ground
from roastside.app.draw.inks import Ground, Ink


def _ink_class(ink: Ink) -> str:
    return f"ink--{ink.name.lower()}"


def _ground_class(ground: Ground) -> str:
    return f"ground--{ground.name.lower()}"


class Painted(Widget):
    """A widget that draws itself as a grid of cells.

    A subclass gives `draw(width, height)` and calls `repaint()` when its data has changed. The
    colours are those of Okabe and Ito, "Color Universal Design" (2008), which people with any
    kind of colour vision can tell apart; the darker ones stand in on a light theme.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {*map(_ink_class, Ink), *map(_ground_class, Ground)}

    DEFAULT_CSS = """
    Painted {
        & > .ink--plain { color: $foreground; }
        & > .ink--quiet { color: $foreground 60%; }
        & > .ink--rule { color: $foreground 22%; }
        & > .ink--bean { color: #E69F00; }
        & > .ink--reference { color: #56B4E9; }
        & > .ink--air { color: #009E73; }
        & > .ink--rate { color: #CC79A7; }
        & > .ink--mark { color: $foreground 75%; }
        & > .ink--good { color: #009E73; }
        & > .ink--warn { color: #F0E442; }
        & > .ink--bad { color: #D55E00; }
        & > .ink--drying { color: #009E73; }
        & > .ink--browning { color: #E69F00; }
        & > .ink--development { color: #CC79A7; }
        & > .ink--corridor { color: #56B4E9 18%; }
        & > .ink--paper { color: $background; }
        & > .ground--corridor { background: #56B4E9 18%; }
        & > .ground--drying { background: #009E73; }
        & > .ground--browning { background: #E69F00; }
        & > .ground--development { background: #CC79A7; }
    }
    """

    def __init__(self, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._cells: Cells | None = None
        self._strips: list[Strip] = []
        self._rich_styles: dict[int, Style] = {}

    def draw(self, width: int, height: int) -> Cells:
        """The picture at this size."""
        raise NotImplementedError

    @property
    def few_colours(self) -> bool:
        """Whether the terminal has at most 16 colours, or none are wanted."""
        app = self.app
        if app.native_ansi_color or app.no_color:
            return True
        return app.console.color_system not in ("truecolor", "256")

    def repaint(self) -> None:
        """Draw anew, and have the rows that differ from the last picture put on the screen."""
        if not self.is_mounted:
            return
        size = self.content_size
        cells = self.draw(size.width, size.height)
        changed = cells.changed_rows(self._cells)
        same_shape = self._cells is not None and cells.glyph.shape == self._cells.glyph.shape
        if not same_shape:
            self._strips = [Strip.blank(size.width)] * size.height
        self._cells = cells
        for row, line in zip(changed, cells.runs(changed), strict=True):
            segments = [Segment(text, self._rich_style(look)) for text, look in line]
            self._strips[row] = Strip(segments, size.width)
        if not same_shape:
            self.refresh()
        elif changed:
            self.refresh(*(Region(0, row, size.width, 1) for row in changed))

    def _rich_style(self, look: int) -> Style:
        style = self._rich_styles.get(look)
        if style is None:
            ink, ground = ink_and_ground(look)
            style = self.get_component_rich_style(_ink_class(ink))
            if ground:
                behind = self.get_component_rich_style(_ground_class(ground))
                style += Style(bgcolor=behind.bgcolor)
            self._rich_styles[look] = style
        return style

    def on_mount(self) -> None:
        self.repaint()

    def on_resize(self, event: events.Resize) -> None:
        self.repaint()

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._rich_styles.clear()
        self._cells = None
        self.repaint()

    def render_line(self, y: int) -> Strip:
        if y < len(self._strips):
            return self._strips[y]
        return Strip.blank(self.content_size.width)
