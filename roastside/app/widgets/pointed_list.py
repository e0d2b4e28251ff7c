"""A list that shows its line by a sign, not by a colour alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.text import Text
from textual.widgets import OptionList
from textual.widgets.option_list import Option

POINTER, BLANK = "› ", "  "


@dataclass(frozen=True, slots=True)
class Entry:
    """Lines of text; those that cannot be `chosen` are headings, which the arrows pass over."""

    text: Text
    chosen: bool = True


class PointedList(OptionList):
    """Entries one below the other; every line of them begins two cells further in."""

    DEFAULT_CSS = """
    PointedList, PointedList:focus { border: none; padding: 0; background: $background; }
    PointedList > .option-list--option { padding: 0; }
    PointedList > .option-list--option-highlighted,
    PointedList:focus > .option-list--option-highlighted {
        background: $foreground 8%;
        color: $foreground;
        text-style: none;
    }
    PointedList > .option-list--option-disabled { color: $foreground; }
    """

    def __init__(self, name: str) -> None:
        super().__init__(id=name, markup=False)
        self._entries: Sequence[Entry] = ()
        self._pointed_at: int | None = None

    def show(self, entries: Sequence[Entry], at: int) -> None:
        """Show these; the cursor goes to the entry `at`, or the one nearest to it."""
        self._entries, self._pointed_at = entries, None
        self.set_options(
            Option(_beside(BLANK, entry), disabled=not entry.chosen) for entry in entries
        )
        can = [place for place, entry in enumerate(entries) if entry.chosen]
        if can:
            self.highlighted = min(can, key=lambda place: abs(place - at))

    @property
    def room(self) -> int:
        """How many cells a line of an entry may have."""
        return max(self.scrollable_content_region.width - len(POINTER), 1)

    def watch_highlighted(self, highlighted: int | None) -> None:
        """Give the line its sign, and take it from the one that had it."""
        self._point(self._pointed_at, BLANK)
        self._point(highlighted, POINTER)
        self._pointed_at = highlighted
        super().watch_highlighted(highlighted)

    def _point(self, place: int | None, sign: str) -> None:
        if place is not None and place < min(len(self._entries), self.option_count):
            self.replace_option_prompt_at_index(place, _beside(sign, self._entries[place]))


def _beside(sign: str, entry: Entry) -> Text:
    first, *rest = entry.text.split("\n", allow_blank=True)
    return Text("\n").join([Text(sign) + first, *(Text(BLANK) + line for line in rest)])
