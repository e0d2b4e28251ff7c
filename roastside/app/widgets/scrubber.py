"""The scrubber on the Replay screen."""

from __future__ import annotations

from typing import Any

from textual import events
from textual.message import Message

from roastside.app.draw.cells import Cells
from roastside.app.draw.scrubber import ScrubberData, draw_scrubber, time_at
from roastside.app.widgets.painted import Painted

__all__ = ["Scrubber", "ScrubberData"]


class Scrubber(Painted):
    """Where a replay stands; a click goes there, and so does the mouse while it is held down."""

    class Moved(Message):
        """The person wants to be at this moment of the roast, elapsed seconds."""

        def __init__(self, at_s: float) -> None:
            super().__init__()
            self.at_s = at_s

    def __init__(self, data: ScrubberData | None = None, **of_widget: Any) -> None:
        super().__init__(**of_widget)
        self._data = data or ScrubberData()
        self._held = False

    @property
    def data(self) -> ScrubberData:
        """What is shown. Setting it repaints the rows that changed."""
        return self._data

    @data.setter
    def data(self, data: ScrubberData) -> None:
        self._data = data
        self.repaint()

    def draw(self, width: int, height: int) -> Cells:
        return draw_scrubber(self._data, width, height)

    def on_mouse_down(self, event: events.MouseDown) -> None:
        self._held = True
        self.capture_mouse()
        self._move_to(event)

    def on_mouse_move(self, event: events.MouseMove) -> None:
        if self._held:
            self._move_to(event)

    def on_mouse_up(self) -> None:
        self._held = False
        self.release_mouse()

    def _move_to(self, event: events.MouseEvent) -> None:
        column = event.get_content_offset_capture(self).x
        self.post_message(self.Moved(time_at(self._data, self.content_size.width, column)))
