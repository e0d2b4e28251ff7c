"""A short checklist over a roast that has just begun to listen."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Label, Static

from roastside.core.readings import MarkName
from roastside.live.checklist import CHECKS, can_be_ticked, checked_fact, probe_words
from roastside.live.roast import LiveRoast

_TICK_S = 0.5


class Checklist(ModalScreen[None]):
    """Numbers tick, Enter keeps what is ticked, Escape passes; the charge closes it by itself.

    It holds nothing up: `c` marks the charge as on the Roast screen.
    """

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "close", "Done"),
        Binding("escape", "close", "Done", show=False),
        Binding("a", "all", "All of it"),
        Binding("c", "charge", "Charge", show=False),
        *(Binding(str(n), f"tick({n})", show=False) for n in range(1, len(CHECKS) + 1)),
    ]

    def __init__(self, roast: LiveRoast) -> None:
        super().__init__()
        self._roast = roast
        self._ticked: set[str] = set()

    def compose(self) -> ComposeResult:
        with Vertical(classes="dialog wide"):
            yield Label("Before the beans go in", classes="dialog-title")
            yield Static(id="checks", markup=False)
            yield Label(
                f"1–{len(CHECKS)} tick, a ticks all, Enter goes on; the roast is recorded already.",
                classes="dialog-hint",
            )

    def on_mount(self) -> None:
        self._draw()
        self.set_interval(_TICK_S, self._look)

    def _look(self) -> None:
        if MarkName.CHARGE in self._roast.board.view().marks or self._roast.over:
            self.action_close()
        else:
            self._draw()

    def _draw(self) -> None:
        roast = self._roast
        probe = probe_words(roast.board.view(), roast.source.now_s(), roast.plan.degrees)
        lines = []
        for number, (word, words) in enumerate(CHECKS, 1):
            sign = "✓" if word in self._ticked else " "
            lines.append(f"{number} [{sign}] {words}" + (f": {probe}" if word == "probe" else ""))
        self.query_one("#checks", Static).update("\n".join(lines))

    def action_tick(self, number: int) -> None:
        """Tick a line, or no longer."""
        word = CHECKS[number - 1][0]
        if can_be_ticked(word, self._roast.board.view()):
            self._ticked ^= {word}
        self._draw()

    def action_all(self) -> None:
        """Tick every line."""
        view = self._roast.board.view()
        self._ticked = {word for word, _ in CHECKS if can_be_ticked(word, view)}
        self._draw()

    def action_charge(self) -> None:
        """The beans are in."""
        self._roast.mark(MarkName.CHARGE)
        self.action_close()

    def action_close(self) -> None:
        """Go on; what is ticked is kept with the roast."""
        if not self.is_current:
            return
        if self._ticked:
            self._roast.mark(MarkName.COMMENT, note=checked_fact(self._ticked))
        self.dismiss(None)
