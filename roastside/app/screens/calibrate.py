"""The probe check: the live reading large, how steady it is, and what to do next."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widgets import Static

from roastside.app.widgets.figures import Figure, Figures
from roastside.app.widgets.foot import Foot
from roastside.app.words import plain
from roastside.core.errors import RoastsideError
from roastside.live.calibrating import CAUTION, point_words
from roastside.live.probe_check import CheckView, ProbeCheck
from roastside.probes.bath import BathState, far_off

_FRAME_S = 0.2

_STATE_WORDS = {
    BathState.GATHERING: "watching",
    BathState.MOVING: "still moving",
    BathState.STEADY: "steady",
    BathState.FAR: "▲ not in the bath",
}


class CalibrateScreen(Screen[None]):
    """Draws a check that is open; the check itself runs elsewhere, and ends with the screen."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("k", "keep", "Keep", tooltip="keep the correction for this probe"),
        Binding("s", "skip", "Skip bath", tooltip="leave this bath out"),
        Binding("escape,q", "leave", "Leave", tooltip="leave; what was not kept is forgotten"),
    ]

    CSS = """
    #check-name { height: 1; padding: 0 2; text-style: bold; background: $surface; }
    #check-figures { height: 7; padding: 1 2; }
    #check-words { height: 1fr; padding: 0 2; }
    #check-done { margin-bottom: 1; }
    #check-caution { height: auto; padding: 0 2; color: $foreground 70%; }
    """

    def __init__(self, check: ProbeCheck) -> None:
        super().__init__()
        self._check = check
        self._kept = ""

    def compose(self) -> ComposeResult:
        yield Static(f"Probe check: {self._check.name}", id="check-name", markup=False)
        yield Figures(id="check-figures")
        with VerticalScroll(id="check-words"):
            yield Static(id="check-done", markup=False)
            yield Static(id="check-now", markup=False)
        yield Static(CAUTION, id="check-caution", markup=False)
        yield Foot()

    def on_mount(self) -> None:
        self.set_interval(_FRAME_S, self._draw)
        self._draw()

    def on_unmount(self) -> None:
        self._check.end()

    def action_keep(self) -> None:
        """Store the correction, once all baths are done."""
        if self._check.view().step is not None:
            self.notify("First let the probe be steady in this bath, or skip it (s).")
            return
        try:
            kept = self._check.keep()
        except RoastsideError as error:
            self.notify(str(error), severity="error", timeout=15.0, markup=False)
            return
        self._kept = f"Kept: {kept}" if kept else ""
        self._draw()

    def action_skip(self) -> None:
        """Leave this bath out."""
        self._check.skip()
        self._draw()

    def action_leave(self) -> None:
        """Back to Today."""
        self.dismiss()

    def _draw(self) -> None:
        view = self._check.view()
        self.query_one(Figures).figures = _figures(view)
        done = [point_words(step, point) for step, point in view.measured]
        self.query_one("#check-done", Static).update("\n".join(done))
        self.query_one("#check-now", Static).update("\n\n".join(self._now(view)))

    def _now(self, view: CheckView) -> list[str]:
        """What to do, or what came of it."""
        if view.trouble:
            return [view.trouble]
        if view.step is None:
            nothing = ["No bath was measured. Esc leaves."]
            ending = self._kept or "k keeps this correction, Esc leaves without it."
            outcome = self._check.outcome()
            return [*outcome, ending] if outcome else nothing
        words = [f"{view.step.name.capitalize()}. {view.step.how}"]
        settling = view.settling
        if view.silent:
            words.append(f"Nothing comes from the probe. {self._check.hint()}".rstrip())
        elif settling.state is BathState.FAR and settling.mean_c is not None:
            told = far_off(settling.mean_c, view.step.truth_c)
            words.append(f"If it is in that bath already: {told}")
        else:
            words.append("It is taken by itself as soon as it is steady.")
        return words


def _figures(view: CheckView) -> list[Figure]:
    """The live reading, what is right, and how steady it is."""
    if view.step is None:
        return [
            Figure(step.name, plain(point.error_c, 2), "°C off", priority=1)
            for step, point in view.measured
        ]
    settling = view.settling
    silent = view.silent or settling.latest_c is None
    spread = "steady" if settling.spread_c is None else f"± {plain(settling.spread_c, 2)} °C"
    return [
        Figure(
            "▲ no reading" if silent else "probe",
            "--" if silent else plain(settling.latest_c, 1),
            "°C",
            "bad" if silent else "plain",
            priority=3,
        ),
        Figure(f"right in {view.step.name}", plain(view.step.truth_c, 1), "°C", priority=2),
        Figure(
            f"{_STATE_WORDS[settling.state]}, {spread}",
            f"{100.0 * settling.progress:.0f}",
            "%",
            "warn" if settling.state is BathState.FAR else "plain",
            priority=1,
        ),
    ]
