"""A recording played again: followed in the background, and where a person stands in it."""

from __future__ import annotations

import threading
from pathlib import Path

import numpy as np

from roastside.core.session import Session
from roastside.live.board import View
from roastside.live.playhead import Playhead
from roastside.live.rewind import Rewinder
from roastside.probes.replay import in_time
from roastside.record.reader import read_roast_file

ONTO_S = 1.0
"""One is still on a mark so long (wall seconds) after it: the way back leads to the one before."""


class Replay:
    """The boards of a recording and the playhead in it."""

    def __init__(self, path: Path, session: Session, speed: float | None) -> None:
        """Reads the recording. `speed`: roast seconds per second; None opens it at its end.

        Raises RecordError if the file is not there or is no roast file.
        """
        file = read_roast_file(path)
        self.title = file.title
        self.plan = session.plan
        self.reference = session.reference
        self.trouble = ""
        self.boards = Rewinder(in_time(file.items()), session)
        self.playhead = Playhead(self.boards.begin_s, self.boards.end_s, speed or 1.0)
        if speed is None:
            self.playhead.jump(self.boards.end_s)
        self._thread = threading.Thread(target=self._follow, name="rewind", daemon=True)

    def start(self) -> None:
        """Play, and follow the recording in the background; what is followed can be seen."""
        self._thread.start()
        if self.playhead.position_s < self.playhead.end_s:
            self.playhead.play()

    def end(self) -> None:
        """Follow it no further."""
        self.boards.stop()
        if self._thread.ident is not None:
            self._thread.join()

    @property
    def now_s(self) -> float:
        """The moment that is shown, stream seconds."""
        return min(self.playhead.position_s, self.boards.until_s)

    def view(self) -> View:
        """The board at that moment."""
        return self.boards.at(self.now_s)

    @property
    def marks(self) -> dict[str, float]:
        """The marks that stand in the end, as far as it was followed, stream seconds by name."""
        return self.boards.newest.marks

    def toggle(self) -> None:
        """Play, or pause."""
        if self.playhead.playing:
            self.playhead.pause()
        else:
            self.playhead.play()

    def shift(self, seconds: float) -> None:
        """Go on by so many seconds of the roast, or back."""
        self.playhead.jump(self.playhead.position_s + seconds)

    def step(self, readings: int) -> None:
        """Pause, and go on by so many readings, or back."""
        self.playhead.pause()
        times_s, position_s = self.boards.newest.time_s, self.playhead.position_s
        if readings > 0:
            coming = int(np.searchsorted(times_s, position_s, side="right")) + readings - 1
        else:
            coming = int(np.searchsorted(times_s, position_s, side="left")) + readings
        if coming < 0:
            self.playhead.jump(self.playhead.begin_s)
        elif coming >= len(times_s):
            self.playhead.jump(self.boards.until_s)
        else:
            self.playhead.jump(float(times_s[coming]))

    def to_next_mark(self) -> None:
        """Go to the next mark, or to the end."""
        position_s = self.playhead.position_s
        coming = (at_s for at_s in self.marks.values() if at_s > position_s)
        self.playhead.jump(min(coming, default=self.playhead.end_s))

    def to_mark_before(self) -> None:
        """Go to the mark before, or to the beginning."""
        before_s = self.playhead.position_s
        if self.playhead.playing:
            before_s -= ONTO_S * self.playhead.speed
        gone = (at_s for at_s in self.marks.values() if at_s < before_s)
        self.playhead.jump(max(gone, default=self.playhead.begin_s))

    def _follow(self) -> None:
        try:
            self.boards.follow()
        except Exception as error:
            # A bug must not vanish with its thread: the screen tells it.
            self.trouble = f"roastside stumbled ({type(error).__name__}: {error}); please tell us"
            raise
