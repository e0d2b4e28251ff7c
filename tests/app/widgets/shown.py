"""A small app around the widgets under test, and what they show."""

from __future__ import annotations

from rich.style import Style
from textual.app import App, ComposeResult
from textual.widget import Widget


class Shown(App[None]):
    """Shows the widgets given to it, each filling its share of the screen."""

    CSS = "Screen { layout: vertical; } Screen > * { height: 1fr; }"

    def __init__(self, *widgets: Widget, ansi_color: bool | None = None) -> None:
        super().__init__(ansi_color=ansi_color)
        self.shown = widgets

    def compose(self) -> ComposeResult:
        yield from self.shown


def text_of(widget: Widget) -> list[str]:
    """The rows of a widget as they are on the screen."""
    return [strip.text for strip in widget.render_lines(widget.size.region)]


def styles_of(widget: Widget) -> set[Style]:
    """All styles with which a widget's characters are on the screen."""
    return {
        segment.style
        for strip in widget.render_lines(widget.size.region)
        for segment in strip
        if segment.style is not None and segment.text.strip()
    }
