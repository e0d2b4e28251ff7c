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
    kind of colour vision can tell apart, darker on a light theme; with the terminal's own sixteen
    colours their nearest. An ink must show nothing on a blank: no reverse, no underline.
    """

    COMPONENT_CLASSES: ClassVar[set[str]] = {*map(_ink_class, Ink), *map(_ground_class, Ground)}

    DEFAULT_CSS = """
    Painted {
        & > .ink--plain { color: $foreground; }
        & > .ink--quiet { color: $foreground 60%; }
        & > .ink--rule { color: $foreground 22%; }
        & > .ink--mark { color: $foreground 75%; }
        & > .ink--bean { color: #E69F00; }
        & > .ink--reference { color: #56B4E9; }
        & > .ink--air { color: #009E73; }
        & > .ink--rate { color: #CC79A7; }
        & > .ink--good { color: #009E73; }
        & > .ink--warn { color: #F0E442; text-style: bold; }
        & > .ink--bad { color: #D55E00; text-style: bold; }
        & > .ink--corridor { color: #56B4E9 18%; }
        & > .ink--shade { color: #56B4E9 60%; }
        & > .ink--drying { color: #009E73 45%; }
        & > .ink--browning { color: #E69F00 45%; }
        & > .ink--development { color: #CC79A7 45%; }
        & > .ground--corridor { background: #56B4E9 18%; }
        & > .ground--drying { background: #009E73 45%; }
        & > .ground--browning { background: #E69F00 45%; }
        & > .ground--development { background: #CC79A7 45%; }
    }
    Painted:light {
        & > .ink--bean { color: #AD7700; }
        & > .ink--reference { color: #0072B2; }
        & > .ink--air { color: #007A59; }
        & > .ink--rate { color: #AA4F80; }
        & > .ink--good { color: #007A59; }
        & > .ink--warn { color: #806000; }
        & > .ink--bad { color: #C44400; }
    }
    Painted:nocolor {
        & > .ink--shade { color: $foreground 40%; }
        & > .ink--drying { color: $foreground 60%; }
        & > .ink--browning { color: $foreground 60%; }
        & > .ink--development { color: $foreground 60%; }
    }
    Painted:ansi {
        & > .ink--plain { color: ansi_default; }
        & > .ink--quiet { color: ansi_default; }
        & > .ink--rule { color: ansi_default; text-style: dim; }
        & > .ink--mark { color: ansi_default; }
        & > .ink--bean { color: ansi_yellow; }
        & > .ink--reference { color: ansi_cyan; }
        & > .ink--air { color: ansi_green; }
        & > .ink--rate { color: ansi_magenta; }
        & > .ink--good { color: ansi_green; }
        & > .ink--warn { color: ansi_yellow; }
        & > .ink--bad { color: ansi_red; }
        & > .ink--shade { color: ansi_blue; }
        & > .ink--drying { color: ansi_green; }
        & > .ink--browning { color: ansi_yellow; }
        & > .ink--development { color: ansi_magenta; }
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
            self._strips = [Strip.blank(size.width, self.rich_style)] * size.height
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
            if ink is Ink.PAPER:
                behind = self.background_colors[1].rich_color
                style = Style(color=behind, bgcolor=behind)
            else:
                style = self.get_component_rich_style(_ink_class(ink))
            if ground:
                style += Style(bgcolor=self.get_component_rich_style(_ground_class(ground)).bgcolor)
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
        return Strip.blank(self.content_size.width, self.rich_style)
