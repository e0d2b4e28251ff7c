"""The lines that the Roast screen itself puts into the log of its roast."""

from __future__ import annotations

from roastside.app import telling
from roastside.app.moment import Moment
from roastside.core.lag import Lag, NoLag
from roastside.live.roast import LiveRoast


class OwnLines:
    """What the lag-corrected curve is worth while it is shown, and the last word on the roast.

    lag_shown: whether that curve is wanted. over_told: whether the last word was said.
    """

    def __init__(self, roast: LiveRoast) -> None:
        self._roast = roast
        self._lag_told: Lag | NoLag | None = None
        self.lag_shown = False
        self.over_told = False

    def switch_lag(self, moment: Moment) -> None:
        """Show the lag-corrected curve, or no longer."""
        self.lag_shown = not self.lag_shown
        self._tell_lag(moment)

    def follow(self, moment: Moment) -> None:
        """Say anew what the curve is worth, should the lag have become another."""
        if self.lag_shown and moment.view.lag != self._lag_told:
            self._tell_lag(moment)

    def tell_over(self, moment: Moment) -> None:
        """The roast is over: what it came to, and what went wrong. moment: after its end."""
        self.over_told = True
        board, roast = self._roast.board, self._roast
        told = telling.verdict(moment, roast.plan.degrees)
        if told:
            board.note(moment.now_s, told, "mark")
        trouble = roast.trouble or roast.store_error
        if trouble:
            board.note(moment.now_s, str(trouble), "critical")

    def _tell_lag(self, moment: Moment) -> None:
        self._lag_told = moment.view.lag
        words = telling.lag_words(moment, self._roast.plan.degrees)
        self._roast.board.tell("lag", moment.now_s, [words] if self.lag_shown else [])
