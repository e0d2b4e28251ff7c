"""One roast under way: source to recorder to fold to everyone who listens."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterable, Sequence

from roastside.core.errors import StoreError
from roastside.core.events import Alert, Event, Marked
from roastside.core.readings import (
    PROBE_LOST,
    Item,
    Mark,
    MarkName,
    MarkSource,
    Outage,
    Reading,
    StoreFault,
    Tick,
)
from roastside.core.session import Session
from roastside.core.text import clean
from roastside.probes.source import Source
from roastside.record.recorder import Recorder

Consumer = Callable[[Sequence[Event]], None]
"""Someone who listens: called from the pipeline's thread with the events of one turn."""

NOT_RUNNING = "roastside was not running"

_WAIT_S = 0.1


class Pipeline:
    """Runs a roast from an opened source until the source ends or someone stops it.

    A reading is written to the recording before anything is computed from it. Marks by hand come
    from any thread (`mark`), stamped at the moment of the key press, and are taken in between two
    reads.
    """

    def __init__(
        self,
        source: Source,
        session: Session,
        consumers: Iterable[Consumer] = (),
        recorder: Recorder | None = None,
        recalled: Sequence[Item] = (),
    ) -> None:
        """`recalled`: what the recording holds already, of a roast that is gone on with.

        The fold is told of it first, and so are the `consumers` given here. Who comes to listen
        later hears only which alerts stand then: nothing is to sound again that sounded before.
        """
        self.source = source
        self.session = session
        self.recorder = recorder
        self.consumers: list[Consumer] = list(consumers)
        self.store_error: StoreError | None = None
        self.quietly: Callable[[], None] = lambda: None
        """Called when a turn told nothing: what stands may want other words by now."""
        self._stopping = threading.Event()
        self._by_hand: queue.SimpleQueue[Mark | str] = queue.SimpleQueue()
        self._store_fault = ""
        self._recalled = recalled
        self._recallers = tuple(self.consumers)

    def mark(
        self, mark: str, *, at_s: float | None = None, value: str = "", note: str = ""
    ) -> None:
        """A person marks this instant, or the stream time `at_s`. From any thread."""
        moment_s = self.source.now_s() if at_s is None else at_s
        self._by_hand.put(
            Mark(round(moment_s, 3), mark, clean(value), clean(note), MarkSource.HAND)
        )

    def acknowledge(self, alert: str) -> None:
        """A person has seen an alert. From any thread."""
        self._by_hand.put(alert)

    def stop(self) -> None:
        """Ask the roast to end; `run` then finishes cleanly. From any thread or signal."""
        self._stopping.set()

    @property
    def stopping(self) -> bool:
        """Whether someone has asked the roast to end."""
        return self._stopping.is_set()

    def run(self) -> None:
        """Follow the roast to its end, then close everything and send the summary.

        A recording that could not be stored is kept in `store_error`; nothing is raised for it.
        """
        try:
            self._recall()
            while not (self.stopping or self.source.ended):
                self._turn(self.source.read(_WAIT_S))
            self._turn_by_hand()
        finally:
            self.source.close()
            self._close_recording()
        self._send([self.session.finish()])

    def _recall(self) -> None:
        if not self._recalled:
            return
        told: set[str] = set()
        found: list[Event] = []
        for item in self._recalled:
            events = self.session.feed(item)
            found += [event for event in events if isinstance(event, Marked)]
            told |= {item.mark} if isinstance(item, Mark) else set()
            for consumer in self._recallers if events else ():
                consumer(events)
        # Found, and the program was cut off before it could be written down.
        self._record_found(e for e in found if isinstance(e, Marked) and e.mark not in told)
        standing = self.session.standing()
        for consumer in self.consumers:
            if consumer not in self._recallers and standing:
                consumer(standing)
        self._turn([Outage(max(item.time_s for item in self._recalled), NOT_RUNNING)])

    def _turn(self, items: Sequence[Item]) -> None:
        whole = [extra for item in items for extra in _with_remark(item)]
        self._record(whole)
        events = [event for item in whole for event in self.session.feed(item)]
        if not items:
            events += self.session.feed(Tick(self.source.now_s()))
        events += self._store_news()
        self._record_found(events)
        self._send(events)
        self._turn_by_hand()

    def _turn_by_hand(self) -> None:
        while True:
            try:
                made = self._by_hand.get_nowait()
            except queue.Empty:
                return
            events: list[Event]
            if isinstance(made, Mark):
                self._record([made])
                events = self.session.feed(made)
                self._record_found(events)
            else:
                events = list(self.session.acknowledge(made, self.source.now_s()))
            self._send(events)

    def _record(self, items: Iterable[Item]) -> None:
        if self.recorder is None:
            return
        for item in items:
            if isinstance(item, Reading | Mark):
                self.recorder.append(item)

    def _record_found(self, events: Iterable[Event]) -> None:
        """What detection found goes into the recording too, so that the file tells elapsed time."""
        for event in events:
            if not isinstance(event, Marked) or event.source is not MarkSource.AUTO:
                continue
            if event.mark != MarkName.COMMENT:
                self._record([Mark(event.moment_s, event.mark, note="auto")])

    def _store_news(self) -> list[Event]:
        fault = "" if self.recorder is None else self.recorder.fault
        if fault == self._store_fault:
            return []
        self._store_fault = fault
        return self.session.feed(StoreFault(self.source.now_s(), fault))

    def _close_recording(self) -> None:
        if self.recorder is None:
            return
        try:
            self.recorder.close()
        except StoreError as error:
            self.store_error = error

    def _send(self, events: Sequence[Event]) -> None:
        if not events:
            self.quietly()
            return
        for consumer in self.consumers:
            consumer(events)


def _with_remark(item: Item) -> tuple[Item, ...]:
    """A lost link is also written into the roast as a remark."""
    if not isinstance(item, Outage):
        return (item,)
    remark = f"{PROBE_LOST}{item.reason}"
    return (item, Mark(item.time_s, MarkName.COMMENT, note=remark, source=MarkSource.AUTO))


def raised(events: Sequence[Event]) -> list[Alert]:
    """The alerts newly raised among some events."""
    return [event for event in events if isinstance(event, Alert) and event.state == "raised"]
