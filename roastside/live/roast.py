"""A roast that runs in the background while a screen shows it."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from pathlib import Path

from roastside.core.errors import RoastsideError, StoreError
from roastside.core.events import Alert, AlertState, Event, Marked
from roastside.core.readings import ONCE_ONLY, UNDO, Item, Mark, MarkSource
from roastside.core.session import Session
from roastside.live.afterwards import Afterwards
from roastside.live.aside import Aside
from roastside.live.board import Board
from roastside.live.hand import MarkHistory, TakenBack
from roastside.live.lag_finder import LagFinder
from roastside.live.pipeline import Consumer, Pipeline
from roastside.live.shape_news import ShapeNews
from roastside.live.under_way import Note, beans_inside
from roastside.live.watch import unread_hint
from roastside.probes.source import Source
from roastside.record.recorder import Recorder

STEP_BACK_S = 5.0
"""How far one key press moves the last mark back."""


class LiveRoast:
    """Pipeline in a thread of its own, board for the screen, and a person's hand on the marks."""

    def __init__(
        self,
        source: Source,
        session: Session,
        recorder: Recorder | None = None,
        recalled: Sequence[Item] = (),
        note: Note | None = None,
    ) -> None:
        """`recalled`: see Pipeline. `note`: notes the recording as under way once it is begun."""
        self.board = Board(session.reference)
        self.plan = session.plan
        self.reference = session.reference
        self.recorder = recorder
        self.source = source
        self.trouble = ""
        self._session = session
        self._note = note
        self._forget: Callable[[], None] | None = None
        self._goes_on = False
        self._history = MarkHistory()
        aside = Aside(self.board)
        ours: list[Consumer] = [
            *(self.board, self._restate, self._history.take, self._explain),
            LagFinder(self.board, aside),
            Afterwards(self.board, self.plan.degrees, aside),
        ]
        if self.reference is None:
            ours.append(ShapeNews(self.board, self.plan))
        self._pipeline = Pipeline(source, session, ours, recorder, recalled)
        self._pipeline.quietly = self._restate
        self._thread = threading.Thread(target=self._run, name="roast", daemon=True)
        obey = getattr(source, "take", None)
        if obey is not None:
            self._pipeline.consumers.append(_Obedience(obey))

    def listen(self, consumer: Callable[[Sequence[Event]], None]) -> None:
        """Add someone who listens, before the start; called from the roast's thread."""
        self._pipeline.consumers.append(consumer)

    def open(self) -> None:
        """Open source and recording. Raises ProbeError, RecordError or StoreError."""
        self.source.open()
        try:
            if self.recorder is not None:
                self.recorder.open()
        except BaseException:
            self.source.close()
            raise
        if self.recorder is None:
            return
        if self._note is not None:
            self._forget = self._note(self.recorder.path)
        if self.recorder.moved:
            self.board.note(self.source.now_s(), self.recorder.moved, "warn")

    def start(self) -> None:
        """Follow the roast from now on, in the background."""
        self._thread.start()

    def end(self) -> None:
        """End the roast and wait until all is stored."""
        self._pipeline.stop()
        if self._thread.ident is None:
            self._thread.start()
        self._thread.join()

    def leave(self) -> None:
        """End it as `end` does, for a program that is told to go: the terminal went away, say.

        Beans that are in the roaster still have to be roasted, so the next start offers to go on.
        """
        self._goes_on = beans_inside(self._session.marks)
        self.end()

    @property
    def title(self) -> str:
        """What is shown, for people: the title of a recording, or where the readings come from."""
        return getattr(self.source, "title", "") or self.source.name

    @property
    def is_past(self) -> bool:
        """Whether this roast is over and done, and only shown again."""
        return bool(getattr(self.source, "is_past", False))

    @property
    def is_practice(self) -> bool:
        """Whether no beans are in it: only a practice roaster obeys."""
        return getattr(self.source, "take", None) is not None

    @property
    def over(self) -> bool:
        """Whether the roast has ended, by itself or by hand."""
        return self.board.view().summary is not None or bool(self.trouble)

    @property
    def recording(self) -> Path | None:
        """Where the roast is stored; None if it is not recorded, or could not be stored whole."""
        return self.recorder.path if self.recorder and self.store_error is None else None

    @property
    def exit_code(self) -> int:
        """What the command should end with."""
        if self.store_error is not None:
            return self.store_error.exit_code
        return 1 if self.trouble else 0

    @property
    def store_error(self) -> StoreError | None:
        """Why the recording could not be stored whole, None if it was."""
        return self._pipeline.store_error

    def mark(self, name: str, value: str = "", note: str = "", at_s: float | None = None) -> None:
        """A person marks this instant, or the stream time `at_s`."""
        moment_s = self.source.now_s() if at_s is None else at_s
        if name in ONCE_ONLY:
            self._history.press(name, moment_s)
        self._pipeline.mark(name, at_s=moment_s, value=value, note=note)

    def step_back(self) -> str | None:
        """Move the last mark five seconds back; its name, None if there is none to move."""
        last = self._history.last()
        if last is None:
            return None
        name, time_s = last
        self.mark(name, at_s=time_s - STEP_BACK_S)
        return name

    def undo(self) -> TakenBack | None:
        """Take back the last mark or move; None if there is nothing to take back."""
        back = self._history.take_back()
        if back is not None and back.time_s is not None:
            self._pipeline.mark(back.mark, at_s=back.time_s)
        elif back is not None:
            self._pipeline.mark(f"{UNDO}{back.mark}")
        return back

    def acknowledge(self) -> int:
        """A person has seen all that stands; how many alerts that was."""
        standing = self.board.view().standing
        for alert in standing:
            self._pipeline.acknowledge(alert.alert)
        return len(standing)

    def _restate(self, _events: Sequence[Event] = ()) -> None:
        self.board.restate(self._session.standing(), self._session.quality)

    def _explain(self, events: Sequence[Event]) -> None:
        """When a probe falls silent while its line speaks, show what the line says."""
        for event in events:
            if not isinstance(event, Alert) or event.alert != "probe_silent":
                continue
            hint = unread_hint(self.source)
            if event.state is AlertState.RAISED and hint:
                self.board.note(event.time_s, hint, "warn")

    def _run(self) -> None:
        try:
            self._pipeline.run()
            if self._forget is not None and not self._goes_on:
                self._forget()
        except RoastsideError as error:
            self.trouble = str(error)
        except Exception as error:
            # A bug must not vanish with its thread: the screen tells it, the exit code is 1.
            self.trouble = f"roastside stumbled ({type(error).__name__}: {error}); please tell us"
            raise


class _Obedience:
    """Hands a person's controls on to a practice roaster; no other source has `take`."""

    def __init__(self, take: Callable[[Mark], None]) -> None:
        self._take = take

    def __call__(self, events: Sequence[Event]) -> None:
        for event in events:
            if isinstance(event, Marked) and event.source is MarkSource.HAND:
                self._take(Mark(event.moment_s, event.mark, event.value, event.note))
