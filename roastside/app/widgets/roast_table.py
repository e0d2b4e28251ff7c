"""The list of roasts: only the rows in view are read from the book and drawn."""

from __future__ import annotations

from typing import Any, ClassVar

from rich.segment import Segment
from rich.style import Style
from textual import events
from textual.binding import Binding, BindingType
from textual.geometry import Region, Size
from textual.message import Message
from textual.reactive import reactive
from textual.scroll_view import ScrollView
from textual.strip import Strip

from roastside.app.draw.cells import shortened_within, text_width
from roastside.app.log_columns import MARGIN, Column, Placed, columns, placed
from roastside.book.roasts import NEWEST_FIRST
from roastside.book.rows import Roast
from roastside.live.log import RoastLog

_DOWN, _UP = "▾", "▴"
_PICKED, _HERE = "●", "›"

_FAR = 64
"""Rows that are looked through for a roast that others were put above of."""


class RoastTable(ScrollView, can_focus=True):
    """Draws a RoastLog. The first line is the columns' heads, and stays where it is."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "move(-1)", "Up", show=False),
        Binding("down", "move(1)", "Down", show=False),
        Binding("pageup", "page(-1)", "Page up", show=False),
        Binding("pagedown", "page(1)", "Page down", show=False),
        Binding("home", "first", "First", show=False),
        Binding("end", "last", "Last", show=False),
        Binding("enter", "open", "Open", tooltip="open the roast"),
        Binding("space", "pick", "Pick", tooltip="pick the roast to compare it, or no longer"),
    ]

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "table--head",
        "table--sorted",
        "table--row",
        "table--quiet",
        "table--cursor",
        "table--picked",
    }

    DEFAULT_CSS = """
    RoastTable {
        background: $background;
        scrollbar-size-horizontal: 0;
        scrollbar-size-vertical: 1;
        overflow-x: hidden;
        & > .table--head { color: $foreground 60%; background: $surface; }
        & > .table--sorted { color: $foreground; background: $surface; text-style: bold; }
        & > .table--row { color: $foreground; }
        & > .table--quiet { color: $foreground 60%; }
        & > .table--cursor { background: $foreground 14%; text-style: bold; }
        & > .table--picked { color: #E69F00; text-style: bold; }
    }
    RoastTable:light > .table--picked { color: #AD7700; }
    RoastTable:focus > .table--cursor { background: $foreground 24%; }
    RoastTable:nocolor > .table--cursor { text-style: reverse; }
    RoastTable:ansi > .table--row { color: ansi_default; }
    RoastTable:ansi > .table--cursor { text-style: reverse; }
    RoastTable:ansi > .table--picked { color: ansi_yellow; text-style: bold; }
    """

    cursor: reactive[int] = reactive(0, repaint=False)

    class Opened(Message):
        """A person wants to look at this roast."""

        def __init__(self, roast: Roast) -> None:
            super().__init__()
            self.roast = roast

    class Changed(Message):
        """Something was picked, or the list is sorted otherwise."""

    def __init__(self, log: RoastLog, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._log = log
        self._columns = columns(log.degrees)
        self._placed: tuple[Placed, ...] = ()
        self._styles: dict[str, Style] = {}

    @property
    def placed(self) -> tuple[Placed, ...]:
        """The columns that are shown."""
        return self._placed

    @property
    def roast(self) -> Roast | None:
        """The roast under the cursor."""
        return self._log.row(self.cursor)

    def show_again(self, from_the_top: bool = False) -> None:
        """Draw anew, as the log has changed."""
        self._measure()
        self.cursor = 0 if from_the_top else max(min(self.cursor, self._log.count - 1), 0)
        self._keep_in_view()
        self.refresh()

    def look_again(self, stay: bool = False) -> None:
        """Read anew and draw; the cursor stays on its roast, if that has not gone far.

        At the top, where the newest comes, it stays at the top, unless it is to `stay`.
        """
        newest_first = self._log.sort == NEWEST_FIRST and self._log.descending
        was = self.roast
        self._log.look_again()
        if was is not None and (stay or self.cursor > 0 or not newest_first):
            near = sorted(range(-_FAR, _FAR + 1), key=abs)
            rows = ((self.cursor + by, self._log.row(self.cursor + by)) for by in near)
            here = (row for row, roast in rows if roast is not None and roast.id == was.id)
            self.cursor = next(here, self.cursor)
        self.show_again()

    def sort_next(self, step: int) -> None:
        """Sort by the next column that is shown, or the one before."""
        names = [p.column.sort for p in self._placed if p.column.sort]
        here = names.index(self._log.sort) if self._log.sort in names else -1
        self._sort(names[(here + step) % len(names)])

    def turn_round(self) -> None:
        """The last first."""
        self._sort(self._log.sort)

    def action_move(self, rows: int) -> None:
        """Move the cursor down."""
        self._go(self.cursor + rows)

    def action_page(self, pages: int) -> None:
        """Move the cursor down by so many pages."""
        self._go(self.cursor + pages * max(self.size.height - 2, 1))

    def action_first(self) -> None:
        """Go to the first row."""
        self._go(0)

    def action_last(self) -> None:
        """Go to the last row."""
        self._go(self._log.count - 1)

    def action_open(self) -> None:
        """Open the roast under the cursor."""
        if (roast := self.roast) is not None:
            self.post_message(self.Opened(roast))

    def action_pick(self) -> None:
        """Pick the roast under the cursor, or no longer, and go on to the next."""
        if (roast := self.roast) is not None:
            self._log.pick(roast)
            self._refresh_row(self.cursor)
            self._go(self.cursor + 1)
            self.post_message(self.Changed())

    def render_line(self, y: int) -> Strip:
        if y == 0:
            return self._head()
        number = y - 1 + round(self.scroll_y)
        if number >= self._log.count:
            return Strip.blank(self.size.width, self._ground)
        return self._row(number)

    def on_resize(self, event: events.Resize) -> None:
        self._measure()
        self._keep_in_view()

    def on_click(self, event: events.Click) -> None:
        """A head sorts, the margin picks, a row is gone to; on the cursor's own row it opens."""
        place = event.get_content_offset(self)
        if place is None:
            return
        if place.y == 0:
            self._sort_at(place.x)
            return
        number = place.y - 1 + round(self.scroll_y)
        if number >= self._log.count:
            return
        was_there = number == self.cursor
        self._go(number)
        if place.x < MARGIN:
            self.action_pick()
        elif was_there:
            self.action_open()

    def watch_cursor(self, before: int, now: int) -> None:
        self._refresh_row(before)
        self._refresh_row(now)

    def watch_scroll_y(self, old_value: float, new_value: float) -> None:
        super().watch_scroll_y(old_value, new_value)
        self.refresh()

    def watch_has_focus(self, _has_focus: bool) -> None:
        self._styles.clear()
        super().watch_has_focus(_has_focus)

    def notify_style_update(self) -> None:
        super().notify_style_update()
        self._styles.clear()

    def _measure(self) -> None:
        size = Size(self.size.width, self._log.count + 1)
        height = self.container_size.height
        has_bar = self.show_vertical_scrollbar and self.virtual_size.width == size.width
        if has_bar and self.virtual_size.height > height < size.height:
            # Only the bar itself changes: at a key the screen need not be laid out anew for it.
            self.set_reactive(RoastTable.virtual_size, size)
            self.vertical_scrollbar.window_virtual_size = size.height
        else:
            self.virtual_size = size
        # The last cell is kept for the scroll bar, which comes and goes with what is listed.
        self._placed = placed(self._columns, self.size.width - 1)

    def _go(self, number: int) -> None:
        self.cursor = max(min(number, self._log.count - 1), 0)
        self._keep_in_view()

    def _keep_in_view(self) -> None:
        rows = max(self.size.height - 1, 1)
        top = round(self.scroll_y)
        wanted = min(max(top, self.cursor - rows + 1), self.cursor)
        wanted = max(min(wanted, self._log.count - rows), 0)
        if wanted != top:
            self.scroll_to(y=wanted, animate=False, force=True, immediate=True)

    def _refresh_row(self, number: int) -> None:
        line = number + 1 - round(self.scroll_y)
        if 1 <= line < self.size.height:
            self.refresh(Region(0, line, self.size.width, 1))

    def _sort(self, column: str) -> None:
        self._log.sort_by(column)
        self.show_again(from_the_top=True)
        self.post_message(self.Changed())

    def _sort_at(self, x: int) -> None:
        for place in self._placed:
            if place.begin <= x <= place.end and place.column.sort:
                self._sort(place.column.sort)
                return

    def _style(self, name: str) -> Style:
        if name not in self._styles:
            self._styles[name] = self.get_component_rich_style(f"table--{name}")
        return self._styles[name]

    @property
    def _ground(self) -> Style:
        if "" not in self._styles:
            self._styles[""] = self.rich_style
        return self._styles[""]

    def _head(self) -> Strip:
        segments = [Segment(" " * MARGIN, self._style("head"))]
        for place in self._placed:
            column = place.column
            if column.sort and column.sort == self._log.sort:
                arrow, style = (_DOWN if self._log.descending else _UP), self._style("sorted")
            else:
                arrow, style = " ", self._style("head")
            # Inside the column, so that it is plainly of its own head and of no neighbour's.
            text = _with_arrow(column, arrow, place.width)
            segments.append(Segment(text + " ", style))
        strip = Strip(segments)
        return strip.adjust_cell_length(self.size.width, self._style("head"))

    def _row(self, number: int) -> Strip:
        roast, is_here = self._log.row(number), number == self.cursor
        style = self._style("row")
        behind = self._style("cursor") if is_here else Style.null()
        picked = roast is not None and roast.id in self._log.picked
        segments = [
            Segment(_HERE if is_here else " ", style + behind),
            Segment(_PICKED if picked else " ", self._style("picked") + behind),
        ]
        if roast is None:
            segments.append(Segment("cannot be read", self._style("quiet") + behind))
        else:
            cells = (_cell(place, place.column, roast) for place in self._placed)
            segments.append(Segment(" ".join(cells), style + behind))
        strip = Strip(segments)
        return strip.adjust_cell_length(self.size.width, self._ground + behind)


def _with_arrow(column: Column, arrow: str, width: int) -> str:
    """A column's head with the arrow; a unit, which stands at the right edge, comes after it."""
    name, blank, unit = column.head.partition(" ")
    if column.right and blank:
        return f"{name}{arrow}{unit}".rjust(width)
    return f"{arrow}{name}".rjust(width) if column.right else f"{column.head}{arrow}".ljust(width)


def _cell(place: Placed, column: Column, roast: Roast) -> str:
    text = column.text(roast)
    if text.isascii() and len(text) <= place.width:
        return text.rjust(place.width) if column.right else text.ljust(place.width)
    text = shortened_within(text, place.width)
    blank = " " * (place.width - text_width(text))
    return blank + text if column.right else text + blank
