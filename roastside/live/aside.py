"""Work beside a roast: what takes longer than a reading may wait."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor

from roastside.live.board import Board


class Aside:
    """Does one piece of work after the other, in a thread of its own.

    Whatever goes wrong there is one line of the log and no matter to the roast.
    """

    def __init__(self, board: Board) -> None:
        self._board = board
        self._pool = ThreadPoolExecutor(1, "aside")

    def ask(self, what: str, time_s: float, work: Callable[[], None]) -> None:
        """Have `work` done, soon; `what` names it for people, `time_s` is now (stream)."""
        try:
            self._pool.submit(self._do, what, time_s, work)
        except RuntimeError as error:
            # This machine has no thread left to give, or the program is ending.
            self._tell(what, time_s, error)

    def _do(self, what: str, time_s: float, work: Callable[[], None]) -> None:
        try:
            work()
        except Exception as error:
            self._tell(what, time_s, error)

    def _tell(self, what: str, time_s: float, error: Exception) -> None:
        said = f"{what}: roastside stumbled ({type(error).__name__}: {error}); please tell us"
        self._board.note(time_s, said, "warn")
